"""R6: nothing rests on a piece of a higher level, and cartons stack heavy to light."""

from collections.abc import Iterator

from loading.planner.checker.layout import Layout
from loading.planner.checker.report import Broken
from loading.planner.plan import LEVELS
from loading.planner.request import Item

RANK = {level: rank for rank, level in enumerate(LEVELS)}
SLACK_G = 50


def broken(layout: Layout, rests_on: dict[str, tuple[str, ...]]) -> Iterator[Broken]:
    for tag, place in layout.placements.items():
        item = layout.item(tag)
        if place.level not in RANK or (item.level is not None and place.level != item.level):
            asked = item.level or " or ".join(LEVELS)
            message = f"{tag} has level {place.level or 'none'}, asked {asked}"
            yield Broken("R6", tag, message)
            continue
        for under in rests_on[tag]:
            yield from _pair(layout, item, layout.item(under))


def _pair(layout: Layout, upper: Item, lower: Item) -> Iterator[Broken]:
    above, below = layout.placements[upper.tag].level, layout.placements[lower.tag].level
    guest, host = layout.pieces[upper.tag].index, layout.pieces[lower.tag].index
    pair = f"{upper.tag} on {lower.tag}"
    if layout.hosts.get(guest) != host and RANK.get(below, 0) > RANK[above]:
        message = f"{upper.tag} ({above}) rests on {lower.tag} ({below})"
        yield Broken("R6", f"{pair} level", message)
    # not more than 10 % heavier, to the gram
    too_heavy = 100 * (upper.weight_g - SLACK_G) > 110 * lower.weight_g
    if upper.carton and lower.carton and too_heavy:
        weights = f"{upper.weight_g / 1000:g} kg, on {lower.weight_g / 1000:g} kg"
        message = f"carton {upper.tag} rests on the lighter {lower.tag} ({weights})"
        yield Broken("R6", f"{pair} carton", message)
