"""What to leave for a second trip: whole sets, what is delivered last, what is wanted last."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from loading.planner.request import Item, LoadRequest


@dataclass(frozen=True, slots=True)
class Unit:
    """Pieces that stay together: those of one set for one stop, or a single piece."""

    tags: tuple[str, ...]
    stop: int
    last_on: bool
    volume_mm3: int
    weight_g: int


def units_of(request: LoadRequest) -> tuple[Unit, ...]:
    """The request's units, the one to leave first at the front.

    First what is delivered at the last stop; within a stop what is wanted first at the door goes
    with the first trip; of the rest the large units, so that few are left.
    """
    groups: dict[tuple[object, ...], list[Item]] = {}
    for item in request.items:
        if item.leaves:
            alone = item.tag if item.set_name is None else None
            groups.setdefault((item.stop, item.set_name, alone), []).append(item)
    units = [_unit(request, items) for items in groups.values()]
    return tuple(sorted(units, key=lambda u: (-u.stop, u.last_on, -u.volume_mm3, u.tags)))


def left_for_later(
    request: LoadRequest, *, volume_mm3: int, weight_g: int, must: Collection[str] = ()
) -> tuple[str, ...]:
    """Tags of whole units that together come to that volume and that weight at least.

    Units that hold one of the `must` stay behind in any case and count. What is taken is what is
    first to be left; the last unit is the smallest that will do.
    """
    units = units_of(request)
    behind = [unit for unit in units if not set(must).isdisjoint(unit.tags)]
    others = [unit for unit in units if unit not in behind]
    while others and not _enough(behind, volume_mm3, weight_g):
        stop, wanted = others[0].stop, others[0].last_on
        alike = [unit for unit in others if (unit.stop, unit.last_on) == (stop, wanted)]
        will_do = [unit for unit in alike if _enough([*behind, unit], volume_mm3, weight_g)]
        chosen = min(will_do, key=lambda u: u.volume_mm3) if will_do else alike[0]
        behind.append(chosen)
        others.remove(chosen)
    return tuple(tag for unit in behind for tag in unit.tags)


def volume_mm3(request: LoadRequest, tags: Collection[str]) -> int:
    """What the pieces take as loaded."""
    total = 0
    for tag in tags:
        length, width, height = request.as_loaded_mm(request.item(tag))
        total += length * width * height
    return total


def weight_g(request: LoadRequest, tags: Collection[str]) -> int:
    return sum(request.item(tag).weight_g for tag in tags)


def _unit(request: LoadRequest, items: Sequence[Item]) -> Unit:
    tags = tuple(item.tag for item in items)
    return Unit(
        tags=tags,
        stop=items[0].stop,
        last_on=any(item.last_on for item in items),
        volume_mm3=volume_mm3(request, tags),
        weight_g=weight_g(request, tags),
    )


def _enough(units: Sequence[Unit], volume: int, weight: int) -> bool:
    return (
        sum(unit.volume_mm3 for unit in units) >= volume
        and sum(unit.weight_g for unit in units) >= weight
    )
