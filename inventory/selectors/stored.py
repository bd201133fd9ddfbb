"""What is stored, as lists of a few branches: shipments, lanes, vaults, pieces, imports."""

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from inventory.lists.kind_names import name_words
from inventory.models import (
    Branch,
    Hold,
    ImportBatch,
    Item,
    ItemTag,
    Lane,
    Release,
    Shipment,
    Upkeep,
    Vault,
    VaultArrival,
)

Branches = QuerySet[Branch]


def shipment_list(*, branches: Branches) -> QuerySet[Shipment]:
    """Give shipments with `piece_count`, `vault_count` and `held`."""
    holds = Hold.objects.filter(shipment=OuterRef("pk"), lifted_at__isnull=True)
    return (
        Shipment.objects.filter(branch__in=branches)
        .select_related("branch")
        .annotate(
            piece_count=Count("items", distinct=True),
            vault_count=Count("vaults", distinct=True),
            held=Exists(holds),
        )
        .order_by("branch__code", "reference")
    )


def lane_list(*, branches: Branches) -> QuerySet[Lane]:
    """Give lanes with `vault_count`."""
    return (
        Lane.objects.filter(branch__in=branches)
        .select_related("branch")
        .annotate(vault_count=Count("vaults"))
        .order_by("branch__code", "name")
    )


def vault_list(*, branches: Branches) -> QuerySet[Vault]:
    """Give vaults with their place and shipment."""
    return (
        Vault.objects.filter(branch__in=branches)
        .select_related("branch", "lane", "shipment")
        .order_by("branch__code", "code")
    )


def vaults_to_stow(*, branch: Branch) -> QuerySet[Vault]:
    """Empty vaults that are ready and stand in no lane: they go to a lane of empties."""
    return (
        Vault.objects.filter(
            branch=branch,
            shipment__isnull=True,
            items__isnull=True,
            lane__isnull=True,
            upkeep=Upkeep.READY,
        )
        .exclude(arrivals__in=VaultArrival.objects.filter(stowed_at=None))
        .order_by("code")
    )


def arrival_list(*, branches: Branches) -> QuerySet[VaultArrival]:
    """Give the vaults that are expected and not stowed yet, the first first."""
    return VaultArrival.objects.filter(vault__branch__in=branches, stowed_at=None).select_related(
        "vault__branch", "vault__lane", "vault__shipment"
    )


def item_list(
    *,
    branches: Branches,
    shipment: str = "",
    vault: str = "",
    tag: str = "",
    lot: str = "",
    color: str = "",
    words: str = "",
    unconfirmed: bool = False,
) -> QuerySet[Item]:
    """Give pieces, narrowed by whatever is told.

    `shipment` is its reference and `vault` its code; `tag`, `lot` and `color` are what a tag
    says or said; `words` are of the name or kind; `unconfirmed`: only guessed kinds.
    """
    items = (
        Item.objects.filter(shipment__branch__in=branches)
        .select_related("shipment__branch", "kind", "vault", "loose_place")
        .prefetch_related("tags")
        .order_by("shipment_id", "id")
    )
    asked = {"number": tag.zfill(3) if tag else "", "lot_number": lot, "label_color": color}
    told = {field: value for field, value in asked.items() if value}
    if told:
        items = items.filter(Exists(ItemTag.objects.filter(item=OuterRef("pk"), **told)))
    if shipment:
        items = items.filter(shipment__reference=shipment)
    if vault:
        items = items.filter(vault__code=vault)
    if unconfirmed:
        items = items.filter(kind_confirmed=False)
    for word in name_words(words):
        items = items.filter(Q(name__icontains=word) | Q(kind__name__icontains=word))
    return items


def release_list(*, branches: Branches) -> QuerySet[Release]:
    """Give releases, newest first."""
    return (
        Release.objects.filter(shipment__branch__in=branches)
        .select_related("shipment__branch", "identity_checked_by")
        .prefetch_related("items__tags")
    )


def hold_list(*, branches: Branches) -> QuerySet[Hold]:
    """Give holds, oldest first."""
    return Hold.objects.filter(shipment__branch__in=branches).select_related(
        "shipment__branch", "placed_by", "lifted_by"
    )


def import_list(*, branches: Branches) -> QuerySet[ImportBatch]:
    """Give imports, newest first."""
    return ImportBatch.objects.filter(branch__in=branches).select_related(
        "branch", "shipment", "imported_by"
    )
