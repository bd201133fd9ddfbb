"""Taking back what was said when trucks had gone: storage stands as it did before."""

from collections.abc import Callable, Mapping
from typing import Any, Final
from uuid import UUID, uuid5

from django.utils.translation import gettext as _

from inventory.models import Branch, Item, Lane, Upkeep, Vault
from inventory.services import item_put_back, vault_place, vault_upkeep_set
from jobs.errors import TakeBackRefused
from jobs.folding.after import WAS, AfterKind
from jobs.models import Event
from jobs.selectors.afterwards import after_events, after_standing, after_subject
from jobs.services.afterwards import Told, Was, after_record
from loading.ledger import Account, Equipment, PlaceKind
from loading.services import equipment_move


def after_take_back(*, branch: Branch, event: UUID, told: Told) -> Event:
    """Take back a vault swept, mended or stowed, a piece put somewhere, equipment that came back.

    Of one vault or piece only what was said last can be taken back, and only while it stands as
    that left it. Raises `TakeBackRefused`, and what a place that is taken meanwhile raises.
    """
    return after_record(
        branch=branch,
        kind=AfterKind.TAKEN_BACK,
        payload={"event": str(event)},
        told=told,
        effect=lambda: _restored(branch, event, told),
    )


def _restored(branch: Branch, uuid: UUID, told: Told) -> Was:
    event = after_events(branch=branch).filter(uuid=uuid).first()
    if event is None or event.kind not in _RESTORING:
        raise TakeBackRefused(_("nobody has reported that"))
    standing = after_standing(branch=branch, subject=after_subject(event))
    if event not in standing:
        raise TakeBackRefused(_("it was taken back already"))
    is_counted = event.kind == AfterKind.EQUIPMENT_CAME_BACK
    if not is_counted and event != standing[-1]:
        raise TakeBackRefused(_("more was reported since"))
    if not is_counted and WAS not in event.payload:
        raise TakeBackRefused(_("how it was before is not known"))
    _RESTORING[AfterKind(event.kind)](branch, event.payload, told)
    return {}


def _upkeep(branch: Branch, said: Mapping[str, Any], _told: Told) -> None:
    vault = Vault.objects.get(branch=branch, code=said["vault"])
    mend = said.get("mend", "")
    left = (Upkeep.MEND if mend else Upkeep.READY, mend)
    if (vault.upkeep, vault.upkeep_note) != left:
        raise TakeBackRefused(_("it stands otherwise now"))
    was = said[WAS]
    vault_upkeep_set(vault=vault, upkeep=Upkeep(was["upkeep"]), note=was["note"])


def _place(branch: Branch, said: Mapping[str, Any], _told: Told) -> None:
    vault = Vault.objects.select_related("lane").get(branch=branch, code=said["vault"])
    if vault.lane is None or vault.lane.name != said["lane"]:
        raise TakeBackRefused(_("it stands otherwise now"))
    for other in Vault.objects.filter(lane=vault.lane).exclude(pk=vault.pk):
        if _bars(other, vault):
            reason = _("vault %(code)s stands on it or ahead of it") % {"code": other.code}
            raise TakeBackRefused(reason)
    was = said[WAS]
    lane = Lane.objects.filter(branch=branch, name=was["lane"]).first()
    vault_place(vault=vault, lane=lane, depth=was["depth"], level=was["level"])


def _bars(other: Vault, vault: Vault) -> bool:
    assert None not in (other.depth, other.level, vault.depth, vault.level)
    if other.depth == vault.depth:
        return bool(other.level > vault.level)  # type: ignore[operator]  # whole or none
    return bool(other.depth < vault.depth)  # type: ignore[operator]


def _piece(branch: Branch, said: Mapping[str, Any], _told: Told) -> None:
    items = Item.objects.filter(shipment__branch=branch).select_related("loose_place")
    item = items.get(pk=said["item"])
    if item.loose_place is None or item.loose_place.name != said["place"]:
        raise TakeBackRefused(_("it stands otherwise now"))
    item_put_back(item=item, **said[WAS])


def _equipment(branch: Branch, said: Mapping[str, Any], told: Told) -> None:
    ways = (("home", PlaceKind.WAREHOUSE), ("wash", PlaceKind.WASH), ("lost", PlaceKind.LOST))
    for name, place in ways:
        if said[name]:
            equipment_move(
                movement_id=uuid5(told.uuid, place.value),
                branch=branch,
                equipment=Equipment(said["equipment"]),
                source=Account(place),
                target=Account(PlaceKind.JOB, said["load"]),
                count=said[name],
                reason="taken back",
                by=told.by,
                now=told.now,
            )


_RESTORING: Final[Mapping[AfterKind, Callable[[Branch, Mapping[str, Any], Told], None]]] = {
    AfterKind.VAULT_SWEPT: _upkeep,
    AfterKind.VAULT_MENDED: _upkeep,
    AfterKind.VAULT_STOWED: _place,
    AfterKind.PIECE_PUT: _piece,
    AfterKind.EQUIPMENT_CAME_BACK: _equipment,
}
