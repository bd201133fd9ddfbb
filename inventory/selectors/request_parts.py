"""The storage side of a load request: the vaults, lanes and pieces of one release.

The form and the units are those of the planning contract (`load-request/1`): whole
millimetres, kilograms, the pieces of a vault listed from its door.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.models import Item, Lane, Release, Vault


def request_parts(*, release: Release, besides: Sequence[Release] = ()) -> dict[str, object]:
    """Give `lanes`, `vaults`, `other_vaults` and `items` of a load request.

    `besides` are other shipments' releases that ride in the same truck. They are kept apart by
    their stops: each is delivered after those before, so that none stands in another's way out.

    A release that names some pieces only: the others of its vaults are in the request too, with
    `leaves` false, since they may stand in the way. Vaults without a piece that leaves count as
    other vaults; pieces whose vault stands in no lane count as loose. Every lane of the branch
    is named, since any may take a vault that is moved. What has left already is in none.
    """
    shipment = release.shipment
    asked = _together((release, *besides))
    labels = _labels(asked.items)
    lanes = list(shipment.branch.lanes.order_by("name"))
    standing = list(
        shipment.branch.vaults.filter(lane__isnull=False)
        .select_related("lane")
        .order_by("lane__name", "-depth", "level")
    )
    return {
        "lanes": _lanes(lanes),
        "vaults": [
            _place(vault) | {"items": _from_the_door(vault, asked.items, labels)}
            for vault in standing
            if vault.pk in asked.opened
        ],
        "other_vaults": [_place(vault) for vault in standing if vault.pk not in asked.opened],
        "items": [
            _item(item, labels[item.pk], item.pk in asked.leaving) | {"stop": asked.stops[item.pk]}
            for item in asked.items
        ],
    }


def item_labels(
    *,
    release: Release,
    besides: Sequence[Release] = (),
    left: bool = False,
    placed: bool = True,
) -> list[tuple[Item, str]]:
    """The pieces in storage that releases are about, each with its name in a load request; `left`:
    and those that have left meanwhile; not `placed`: kind and place are only read when asked for.
    """
    items = _together((release, *besides), left=left, placed=placed).items
    labels = _labels(items)
    return [(item, labels[item.pk]) for item in items]


@dataclass(frozen=True, slots=True)
class _Asked:
    """The pieces of a request, those of them that leave, the vaults that are opened, and at which
    stop each piece is delivered."""

    items: list[Item]
    leaving: set[int]
    opened: set[int]
    stops: dict[int, int]


def _together(releases: Sequence[Release], *, left: bool = False, placed: bool = True) -> _Asked:
    """All releases of one truck, those of the first delivered first."""
    asked = _Asked([], set(), set(), {})
    for release in releases:
        items, leaving, opened = _concerned(release, left=left, placed=placed)
        before = max(asked.stops.values(), default=0)
        asked.items.extend(items)
        asked.leaving.update(leaving)
        asked.opened.update(opened)
        asked.stops.update({item.pk: before + item.stop for item in items})
    return asked


def _concerned(
    release: Release, *, left: bool = False, placed: bool = True
) -> tuple[list[Item], set[int], set[int]]:
    """The pieces of a request, those of them that leave, and the vaults that are opened."""
    listed = release.shipment.items.prefetch_related("tags").order_by("id")
    if placed:
        listed = listed.select_related("vault__lane", "kind", "loose_place")
    items = [item for item in listed if left or item.left_at is None]
    named = set(release.items.values_list("pk", flat=True))
    leaving = {item.pk for item in items if not named or item.pk in named}
    opened = {item.vault_id for item in items if item.pk in leaving and item.vault_id}
    wanted = [item for item in items if item.pk in leaving or item.vault_id in opened]
    return wanted, leaving, opened


def _labels(items: Sequence[Item]) -> dict[int, str]:
    """Name each piece: by the number on its tag, and by lot and colour where that is not enough.

    A piece without a tag is named by our own key, which no tag looks like.
    """
    numbers = Counter(item.tag for item in items)
    labels = {}
    for item in items:
        tag = item.current_tag
        if tag is None:
            labels[item.pk] = f"piece {item.pk}"
        elif numbers[tag.number] == 1:
            labels[item.pk] = tag.number
        else:
            labels[item.pk] = str(tag)
    return labels


def _lanes(lanes: Sequence[Lane]) -> dict[str, object]:
    """Give the commonest lane size once, and the others by name in `of`."""
    sizes = Counter((lane.depth, lane.levels) for lane in lanes)
    depth, levels = max(sizes, key=lambda size: (sizes[size], size), default=(1, 1))
    return {
        "depth": depth,
        "levels": levels,
        "names": [lane.name for lane in lanes],
        "of": {
            lane.name: [lane.depth, lane.levels]
            for lane in lanes
            if (lane.depth, lane.levels) != (depth, levels)
        },
    }


def _place(vault: Vault) -> dict[str, object]:
    lane = vault.lane
    return {
        "code": vault.code,
        "lane": lane.name if lane else None,
        "depth": vault.depth,
        "level": vault.level,
    }


def _from_the_door(vault: Vault, items: Iterable[Item], labels: dict[int, str]) -> list[str]:
    inside = [item for item in items if item.vault_id == vault.pk]
    return [labels[item.pk] for item in sorted(inside, key=lambda item: item.vault_position or 0)]


def _item(item: Item, label: str, leaves: bool) -> dict[str, object]:
    return {
        "tag": label,
        "name": item.name,
        "size_mm": list(item.size_mm),
        "weight_kg": max(0.1, _kilograms(item.weight_g)),
        "postures": list(item.postures),
        "wrap": item.wrap,
        "bears_kg": _kilograms(item.bears_g),
        "level": item.level,
        "fragile": item.fragile,
        "carton": item.carton,
        "soft": item.soft,
        "openings": item.openings,
        "set": item.set_name,
        "last_on": item.last_on,
        "leaves": leaves,
        "size_from": item.size_from,
        "handling": item.handling,
        "pads": item.pads,
        "storage_pads": item.storage_pads,
        # The contract passes it over; who fetches the piece wants to know.
        **({"place": item.loose_place.name} if item.loose_place else {}),
    }


def _kilograms(weight_g: int) -> float:
    """Round to the one decimal of the contract."""
    return round(weight_g / 1000, 1)
