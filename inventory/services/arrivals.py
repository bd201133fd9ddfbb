"""Vaults from outside: announced with their time, and put into a lane when they are there."""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from inventory.errors import PlaceRefusedError, UuidReusedError, WriteRefusedError
from inventory.models import Branch, Lane, User, Vault, VaultArrival
from inventory.services.places import vault_place, vault_stow


@transaction.atomic
def arrival_announce(
    *,
    arrival_id: UUID,
    branch: Branch,
    code: str,
    expected_at: datetime,
    now: datetime,
    by: User | None = None,
) -> VaultArrival:
    """Expect a vault at a time; one that the branch does not know yet is added.

    The same UUID is one announcement. Said again under another UUID, the time is corrected.

    Raises
    ------
    WriteRefusedError : it has no code, or more than 20 signs.
    PlaceRefusedError : the vault stands in a lane of the branch.
    UuidReusedError : the UUID stands for another vault's arrival.
    """
    Branch.objects.select_for_update(no_key=True).get(pk=branch.pk)
    code = code.strip()
    if not code or len(code) > 20:
        raise WriteRefusedError("vault", _("a code has 1 to 20 signs"))
    former = VaultArrival.objects.filter(pk=arrival_id).select_related("vault").first()
    if former is not None:
        if (former.vault.branch_id, former.vault.code) != (branch.pk, code):
            raise UuidReusedError(arrival_id)
        return former
    vault, _new = Vault.objects.get_or_create(branch=branch, code=code)
    if vault.lane is not None:
        raise PlaceRefusedError(code, _("it stands in lane %(name)s") % {"name": vault.lane.name})
    told = {"expected_at": expected_at, "announced_at": now, "announced_by": by}
    expected = vault.arrivals.filter(stowed_at=None).first()
    if expected is None:
        return VaultArrival.objects.create(id=arrival_id, vault=vault, **told)
    VaultArrival.objects.filter(pk=expected.pk).update(**told)
    expected.refresh_from_db()
    return expected


@transaction.atomic
def arrival_stow(*, arrival: VaultArrival, lane: Lane | None, now: datetime) -> VaultArrival:
    """The vault is there and stands in a lane now. Said twice, the first time stays.

    Without a lane it is there, and still to be given a place.

    Raises
    ------
    PlaceRefusedError : the lane is full, or another branch's.
    """
    Branch.objects.select_for_update(no_key=True).get(pk=arrival.vault.branch_id)
    arrival.refresh_from_db()
    if arrival.stowed_at is None:
        if arrival.vault.lane_id is None and lane is not None:
            vault_stow(vault=arrival.vault, lane=lane)
        arrival.stowed_at = now
        arrival.save(update_fields=["stowed_at"])
    return arrival


@transaction.atomic
def arrival_put_off(*, arrival: VaultArrival, until: datetime) -> None:
    """The vault has not come yet; it is expected at that time, unless it is later already."""
    still = VaultArrival.objects.filter(pk=arrival.pk, stowed_at=None)
    still.filter(expected_at__lt=until).update(expected_at=until)


@transaction.atomic
def arrival_take_back(*, vault: Vault) -> None:
    """It was not stowed after all: it stands in no lane and is expected as before."""
    Branch.objects.select_for_update(no_key=True).get(pk=vault.branch_id)
    last = vault.arrivals.exclude(stowed_at=None).order_by("stowed_at").last()
    if last is None or vault.arrivals.filter(stowed_at=None).exists():
        return
    vault_place(vault=vault, lane=None, depth=None, level=None)
    last.stowed_at = None
    last.save(update_fields=["stowed_at"])


def arrival_call_off(*, arrival: VaultArrival) -> None:
    """The vault does not come. One that was added for it alone is forgotten too."""
    with transaction.atomic():
        open_one = VaultArrival.objects.select_for_update().filter(pk=arrival.pk, stowed_at=None)
        if not open_one.delete()[0]:
            return
        unknown = {"shipment": None, "lane": None, "items": None, "arrivals": None}
        Vault.objects.filter(pk=arrival.vault_id, seal_number="", **unknown).delete()
