"""May a piece go there? The contract's rules for one more piece among those that stand.

Only what the new piece would break is named: what is wrong already is not its fault. Travel
toward the nose is judged against things where they stand; side travel not at all, since a roll
or the next piece can still end it before the tier is closed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from loading.planner.checker.openings import lies_within
from loading.planner.checker.posture import turned
from loading.planner.fitting.footing import (
    DECK,
    ROLLS_UNDER_MM,
    Contact,
    Footing,
    held_mm2,
)
from loading.planner.fitting.standing import RANK, Box, Sight, Standing, box_of
from loading.planner.fitting.turns import nose_mm
from loading.planner.plan import LEVELS, Placement, Size
from loading.planner.request import Item

DEPTH_MAX_MM = 2500
HELD_PERCENT = 80
TRAVEL_MM = 150
SLACK_G = 50
SUPPORT_SLACK_G = 500
GEOMETRY = frozenset({"R2", "R3", "R4", "R7"})
"""The rules that no piece that really stands somewhere can break; the others people can."""


@dataclass(frozen=True, slots=True)
class Objection:
    """A rule that a place would break, and why in words for the crew."""

    rule: str
    message: str


class Judge:
    """Judges places for further pieces; what it works out of what stands it works out once."""

    def __init__(self, standing: Standing) -> None:
        self.standing = standing
        self._footing = Footing(standing)

    def objections(self, place: Placement) -> tuple[Objection, ...]:
        """All rules that the piece would break there; none if it may stand there."""
        return tuple(self._geometry(place)) or tuple(self._others(place))

    def geometry(self, place: Placement) -> tuple[Objection, ...]:
        """Those of R2, R3, R4 and R7 alone."""
        return tuple(self._geometry(place))

    def level_for(self, item: Item, at: Size, size: Size, inside: str | None = None) -> str:
        """The level that is fixed, or else the lowest that what is under the piece allows."""
        if item.level is not None:
            return item.level
        box = Box(item.tag, at, _end(at, size), item=item, inside=inside)
        rests = self._rests(box, self.standing.sight(box))
        host = self.standing.index.get(inside) if inside is not None else None
        ranks = [self.standing.boxes[n].rank for n in _pieces(self.standing, rests) if n != host]
        return LEVELS[max(ranks, default=0)]

    def _geometry(self, place: Placement) -> Iterator[Objection]:
        box = box_of(self.standing.request, place)
        sight = self.standing.sight(box)
        yield from _posture(self.standing, place)
        yield from _room(self.standing, box, sight)
        yield from self._support(box, sight)
        yield from _way_in(self.standing, box, sight)

    def _others(self, place: Placement) -> Iterator[Objection]:
        box = box_of(self.standing.request, place)
        sight = self.standing.sight(box)
        rests = self._rests(box, sight)
        after = self._after(place, sight)
        under = [self.standing.boxes[n] for n in _pieces(self.standing, rests)]
        on_it = _resting_on(after, place.tag) if after else []
        yield from self._bearing(box, rests) if after is None else self._bearing_under(after, box)
        yield from _levels(box, under, on_it)
        yield from _tier(self.standing, box)
        yield from _going_out(self.standing, box, sight, under, on_it)
        yield from _weight(self.standing, box)
        if box.inside is None and nose_mm(self.standing, box) > TRAVEL_MM:
            yield Objection("R14", f"nothing within {TRAVEL_MM} mm behind it holds it")

    def _after(self, place: Placement, sight: Sight) -> Footing | None:
        """The footing with the piece, if something that stands would come to rest on it."""
        boxes = self.standing.boxes
        if any(boxes[n].item is not None or boxes[n].is_roll for n in sight.above):
            return Footing(self.standing.with_piece(place))
        return None

    def _rests(self, box: Box, sight: Sight) -> list[Contact]:
        return self._footing.solid(
            box, sight.under, rolls_mm=self.standing.request.truck.interior_mm[2]
        )

    def _support(self, box: Box, sight: Sight) -> Iterator[Objection]:
        held = held_mm2(self._footing.solid(box, sight.under, ROLLS_UNDER_MM))
        if held == 0 or 100 * held < HELD_PERCENT * box.bottom_mm2:
            percent = 100 * held // box.bottom_mm2
            yield Objection("R4", f"rests on {percent} % of its bottom, {HELD_PERCENT} % are asked")

    def _bearing(self, box: Box, rests: list[Contact]) -> Iterator[Objection]:
        assert box.item is not None  # a placement is that of a piece
        for n, grams in self._footing.pressed_g(rests, box.item.weight_g).items():
            yield from _bears(self.standing.boxes[n], grams)

    def _bearing_under(self, after: Footing, box: Box) -> Iterator[Objection]:
        """The same for a piece that something will rest on: all loads are shared out anew."""
        before = self._footing.carried_g
        for other, grams in zip(after.standing.boxes, after.carried_g, strict=True):
            known = self.standing.index.get(other.name) if other.item is not None else None
            if other.name == box.name or (known is not None and grams > before[known]):
                yield from _bears(other, grams)


def _resting_on(after: Footing, tag: str) -> list[Box]:
    """The pieces that press on a piece, straight or through rolls."""
    me = after.standing.index[tag]
    return [
        box
        for box, rests in zip(after.standing.boxes, after.rests, strict=True)
        if any(contact.under == me for contact in rests)
    ]


def _levels(box: Box, under: list[Box], on_it: list[Box]) -> Iterator[Objection]:
    asked = box.item.level if box.item else None
    if asked is not None and box.rank != RANK[asked]:
        yield Objection("R6", f"belongs at the {asked}")
    for lower in under:
        yield from _pair(box, lower)
    for upper in on_it:
        yield from _pair(upper, box)


def _pieces(standing: Standing, rests: list[Contact]) -> list[int]:
    return sorted(
        {c.under for c in rests if c.under != DECK and standing.boxes[c.under].item is not None}
    )


def _posture(standing: Standing, place: Placement) -> Iterator[Objection]:
    item = standing.request.item(place.tag)
    floor, height = turned(standing.request.as_loaded_mm(item), place.posture)
    door_width, door_height = standing.request.truck.door_mm
    if place.posture not in item.postures:
        yield Objection("R2", f"may not ride {place.posture.replace('_', ' ')}")
    elif place.size_mm[2] != height or tuple(sorted(place.size_mm[:2])) != floor:
        yield Objection("R2", f"is {floor[0]} x {floor[1]} x {height} mm in that posture")
    if place.size_mm[2] > door_height or min(place.size_mm[:2]) > door_width:
        yield Objection("R2", "does not pass the door in that posture")


def _room(standing: Standing, box: Box, sight: Sight) -> Iterator[Objection]:
    interior = standing.request.truck.interior_mm
    if min(box.at) < 0 or any(box.end[a] > interior[a] for a in range(3)):
        yield Objection("R3", "does not lie within the truck")
    host = standing.index.get(box.inside) if box.inside is not None else None
    if box.inside is not None:
        yield from _opening(standing, box, host)
    for n in sight.meets:
        if n != host:
            yield Objection("R3", f"shares space with {standing.boxes[n].name}")


def _opening(standing: Standing, box: Box, host: int | None) -> Iterator[Objection]:
    spaces = standing.openings(box.inside) if host is not None and box.inside else []
    if host is None or standing.boxes[host].inside is not None:
        yield Objection("R3", f"{box.inside} takes no guest")
    elif not any(lies_within(box.at, box.end, space) for space in spaces):
        yield Objection("R3", f"does not lie in an opening of {box.inside}")


def _way_in(standing: Standing, box: Box, sight: Sight) -> Iterator[Objection]:
    for n in sight.ahead:
        if standing.boxes[n].name != box.inside:
            yield Objection("R7", f"{standing.boxes[n].name} stands in the way")


def _bears(box: Box, grams: int) -> Iterator[Objection]:
    if box.item is None:
        return
    bears = 0 if box.item.fragile else box.item.bears_g
    if 100 * (grams - SLACK_G) > 101 * bears:
        kept = "is fragile" if box.item.fragile else f"bears {bears / 1000:.1f} kg"
        message = f"{box.name} ({box.item.name}) {kept}, {grams / 1000:.1f} kg would be on it"
        yield Objection("R5", message)


def _pair(upper: Box, lower: Box) -> Iterator[Objection]:
    assert upper.item is not None
    assert lower.item is not None
    if upper.inside != lower.name and lower.rank > upper.rank:
        above, below = LEVELS[upper.rank], LEVELS[lower.rank]
        yield Objection("R6", f"{upper.name} ({above}) would rest on {lower.name} ({below})")
    too_heavy = 100 * (upper.item.weight_g - SLACK_G) > 110 * lower.item.weight_g
    if upper.item.carton and lower.item.carton and too_heavy:
        yield Objection("R6", f"carton {upper.name} is heavier than {lower.name} under it")


def _tier(standing: Standing, box: Box) -> Iterator[Objection]:
    if box.tier in standing.closed:
        yield Objection("R9", f"tier {box.tier} is closed: only rolls go in now")
    boxes = [*standing.tier_boxes(box.tier), box]
    depth = max(b.end[0] for b in boxes) - min(b.at[0] for b in boxes)
    if depth > max(DEPTH_MAX_MM, *(b.size[0] for b in boxes)):
        yield Objection("R9", f"tier {box.tier} would be {depth} mm deep")


def _going_out(
    standing: Standing, box: Box, sight: Sight, under: list[Box], on_it: list[Box]
) -> Iterator[Objection]:
    """R11 and R13: nothing stands before, or on, what goes out before it."""
    assert box.item is not None
    for n in sight.behind:
        other = standing.boxes[n]
        if other.name == box.inside:
            continue
        rule = _goes_before(other.item, box.item)
        if rule is not None:
            yield Objection(rule, f"{other.name} behind it goes out before it")
    for lower in under:
        rule = _goes_before(lower.item, box.item)
        if rule is not None:
            yield Objection(rule, f"{lower.name} under it goes out before it")
    for upper in on_it:
        rule = _goes_before(box.item, upper.item)
        if rule is not None:
            yield Objection(rule, f"{upper.name} on it goes out after it")


def _goes_before(one: Item | None, other: Item | None) -> str | None:
    if one is None or other is None:
        return None
    if one.stop != other.stop:
        return "R11" if one.stop < other.stop else None
    return "R13" if one.last_on and not other.last_on else None


def _weight(standing: Standing, box: Box) -> Iterator[Objection]:
    truck = standing.request.truck
    pieces = [b for b in (*standing.boxes, box) if b.item is not None]
    total = sum(b.item.weight_g for b in pieces if b.item)
    if total > truck.payload_g + SLACK_G:
        over = (total - truck.payload_g) / 1000
        yield Objection("R12", f"the load would be {over:.1f} kg over the payload")
    for support, (gross, more) in zip(truck.supports, supports_g(standing, box), strict=True):
        if more > 0 and gross > support.limit_g + SUPPORT_SLACK_G:
            over = float(gross - support.limit_g) / 1000
            yield Objection("R12", f"{support.name} would be {over:.0f} kg over its limit")


def supports_g(standing: Standing, box: Box) -> tuple[tuple[Fraction, Fraction], ...]:
    """What each support carries with the piece, its tare included, and what the piece adds."""
    one, other = standing.request.truck.supports
    span = 2 * (other.x_mm - one.x_mm)
    loads = [(b, b.item.weight_g) for b in (*standing.boxes, box) if b.item is not None]
    moment = sum(grams * (b.at[0] + b.end[0] - 2 * one.x_mm) for b, grams in loads)
    total = sum(grams for _, grams in loads)
    last, last_g = loads[-1]
    on_other = Fraction(moment, span)
    more_other = Fraction(last_g * (last.at[0] + last.end[0] - 2 * one.x_mm), span)
    return (
        (one.tare_g + total - on_other, last_g - more_other),
        (other.tare_g + on_other, more_other),
    )


def _end(at: Size, size: Size) -> Size:
    return at[0] + size[0], at[1] + size[1], at[2] + size[2]
