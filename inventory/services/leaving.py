"""What a load leaves behind in storage: pieces that are gone, vaults that are empty, leftovers."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from inventory.errors import WriteRefusedError
from inventory.models import DOCK_FLOOR, Branch, Item, LoosePlace, Shipment, Upkeep, Vault


@transaction.atomic
def items_leave(*, items: Iterable[Item], now: datetime, out: Iterable[Item] = ()) -> None:
    """Take pieces out of storage for good; one that has left already stays as it is.

    Those of `out` stay, but no longer in their vaults: they stand on the dock floor until somebody
    puts them elsewhere. Vaults that become empty belong to nobody any more and wait to be swept.
    """
    leaving = [item for item in items if item.left_at is None]
    outside = [item for item in out if item.left_at is None]
    emptied = {item.vault_id for item in (*leaving, *outside) if item.vault_id is not None}
    for item in outside:
        item_put(item=item, place=DOCK_FLOOR)
    for item in leaving:
        item.left_vault = item.vault.code if item.vault else ""
        item.left_at, item.vault, item.vault_position, item.loose_place = now, None, None, None
    fields = ["left_at", "left_vault", "vault", "vault_position", "loose_place"]
    Item.objects.bulk_update(leaving, fields, batch_size=500)
    Vault.objects.filter(pk__in=emptied, items__isnull=True).update(
        shipment=None, seal_number="", upkeep=Upkeep.SWEEP
    )


def vault_upkeep_set(*, vault: Vault, upkeep: Upkeep, note: str = "") -> Vault:
    """Say what an empty vault waits for: swept, it may have to be mended; mended, it is ready.

    Raises
    ------
    WriteRefusedError : goods are in it, or nobody says what is to be mended.
    """
    if vault.items.exists():
        raise WriteRefusedError("upkeep", _("vault %(code)s is not empty") % {"code": vault.code})
    note = note.strip() if upkeep == Upkeep.MEND else ""
    if upkeep == Upkeep.MEND and not note:
        raise WriteRefusedError("note", _("say what is to be mended"))
    Vault.objects.filter(pk=vault.pk).update(upkeep=upkeep, upkeep_note=note)
    vault.refresh_from_db()
    return vault


@transaction.atomic
def item_put(*, item: Item, place: str) -> Item:
    """Put a piece that stays behind at a loose place, which is made if the branch lacks it.

    Raises
    ------
    WriteRefusedError : the piece has left, or the place has no name.
    """
    Shipment.objects.select_for_update().get(pk=item.shipment_id)
    item.refresh_from_db()
    name = place.strip()
    if item.left_at is not None:
        raise WriteRefusedError("place", _("%(name)s has left") % {"name": item.name})
    if not name:
        raise WriteRefusedError("place", _("it needs a name"))
    branch = Branch.objects.get(shipments=item.shipment_id)
    item.loose_place, _new = LoosePlace.objects.get_or_create(branch=branch, name=name)
    item.vault, item.vault_position = None, None
    item.save(update_fields=["loose_place", "vault", "vault_position"])
    return item


@transaction.atomic
def item_put_back(
    *, item: Item, vault: str | None, position: int | None, place: str | None
) -> Item:
    """Say that a piece stands where it stood before: in a vault, at a loose place, or at none.

    Raises
    ------
    WriteRefusedError : the piece has left, or the vault is no longer its shipment's, or another
        piece has its place there.
    """
    Shipment.objects.select_for_update().get(pk=item.shipment_id)
    item.refresh_from_db()
    if vault is None:
        if place is not None:
            return item_put(item=item, place=place)
        item.loose_place = None
        item.save(update_fields=["loose_place"])
        return item
    if item.left_at is not None:
        raise WriteRefusedError("vault", _("%(name)s has left") % {"name": item.name})
    found = Vault.objects.filter(shipment=item.shipment_id, code=vault).first()
    if found is None or found.items.filter(vault_position=position).exclude(pk=item.pk).exists():
        raise WriteRefusedError("vault", _("its place in vault %(code)s is gone") % {"code": vault})
    item.vault, item.vault_position, item.loose_place = found, position, None
    item.save(update_fields=["vault", "vault_position", "loose_place"])
    return item


def items_stop_set(*, items: Iterable[Item], stop: int) -> int:
    """Deliver pieces at another stop, and say how many. Plans that are made from now on keep it.

    Raises
    ------
    WriteRefusedError : stops count from 1.
    """
    if stop < 1:
        raise WriteRefusedError("stop", _("stops count from 1"))
    return Item.objects.filter(pk__in=[item.pk for item in items]).update(stop=stop)


def item_high_value_set(*, item: Item, high_value: bool | None) -> Item:
    """Decide whether a piece is on the high-value list; None leaves it to its name."""
    Item.objects.filter(pk=item.pk).update(high_value=high_value)
    item.refresh_from_db()
    return item
