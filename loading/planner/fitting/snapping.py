"""A place that somebody reported, in millimetres: the nearest one that breaks no rule.

People tap on the picture of a tier and name a posture. A finger misses by a hand's breadth, so the
piece is put where it can really stand: against a wall or a piece, on the deck or on a top, pushed
in as far as it goes. Such a place is an estimate until a measure confirms it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from heapq import nsmallest

from loading.planner.fitting.judging import Judge, Objection
from loading.planner.fitting.spots import slid_mm
from loading.planner.fitting.standing import Standing
from loading.planner.fitting.turns import Turn, turns_of
from loading.planner.plan import Placement, Size

# A place that breaks no rule is believed rather than a nearer one that does, up to this much
# farther away. Common practice, no source: what a finger on a picture of a truck misses by.
BELIEVED_MM = 300
# How many of the nearest places are judged before the search gives up.
TRIED_MOST = 1500


@dataclass(frozen=True, slots=True)
class Reported:
    """What somebody said of a piece: `y_mm` and `z_mm` are the middle of its face as seen from
    the doors, `x_mm` its nose side if that was said. `across`: its longer floor side lies across
    the truck; None if nobody said."""

    tag: str
    posture: str
    tier: int
    y_mm: int
    z_mm: int
    x_mm: int | None = None
    across: bool | None = None
    inside: str | None = None


@dataclass(frozen=True, slots=True)
class Snapped:
    """Where the piece is taken to stand. `moved_mm` is how far that is from what was reported.

    `against` are the rules that it breaks there: people can load against a rule, and what stands
    is a fact. `estimated` stays true until a measure confirms the place.
    """

    placement: Placement
    moved_mm: int
    against: tuple[Objection, ...] = ()
    estimated: bool = True


def snap(standing: Standing, reported: Reported) -> Snapped | None:
    """The nearest place that breaks no rule, or none of geometry if a rule must have been broken.

    None if the piece can stand nowhere in the truck in that posture. A piece that stands already
    is judged as if it were not there.
    """
    judge = Judge(standing.without((reported.tag,)))
    nearest: Snapped | None = None
    for moved_mm, place in _nearest(judge, reported):
        if nearest is not None and moved_mm > nearest.moved_mm + BELIEVED_MM:
            break
        if judge.geometry(place):
            continue
        against = judge.objections(place)
        if not against:
            return Snapped(place, moved_mm)
        nearest = nearest or Snapped(place, moved_mm, against)
    return nearest


def _nearest(judge: Judge, reported: Reported) -> Iterator[tuple[int, Placement]]:
    """Places against edges, the nearest first; each is made into a placement only when asked."""
    standing = judge.standing
    item = standing.request.item(reported.tag)
    rear_mm = min(
        (box.at[0] for box in standing.tier_boxes(reported.tier)),
        default=standing.front_mm(reported.tier),
    )
    found = {
        (_distance_mm(reported, rear_mm, at, turn.size_mm), at, turn.size_mm): turn
        for turn in _turns(standing, reported)
        for at in _places(standing, reported, turn)
    }
    for distance, at, size in nsmallest(TRIED_MOST, found):
        level = judge.level_for(item, at, size, reported.inside)
        posture = found[distance, at, size].posture
        place = Placement(item.tag, reported.tier, level, at, size, posture, reported.inside)
        yield distance, place


def _turns(standing: Standing, reported: Reported) -> Iterator[Turn]:
    item = standing.request.item(reported.tag)
    for turn in turns_of(standing.request, item, (reported.posture,)):
        along, across, _ = turn.size_mm
        if reported.across is None or along == across or (across > along) == reported.across:
            yield turn


def _places(standing: Standing, reported: Reported, turn: Turn) -> Iterator[Size]:
    if reported.inside is not None:
        yield from _places_inside(standing, reported, turn)
        return
    _, width, height = standing.request.truck.interior_mm
    _, across, up = turn.size_mm
    lefts = {0, width - across, reported.y_mm - across // 2}
    lefts |= {box.end[1] for box in standing.boxes}
    lefts |= {box.at[1] - across for box in standing.boxes}
    tops = {0} | {box.end[2] for box in standing.boxes}
    for y in (y for y in lefts if 0 <= y <= width - across):
        for z in (z for z in tops if z <= height - up):
            for x in _depths(standing, reported, (y, z), turn.size_mm):
                yield x, y, z


def _depths(
    standing: Standing, reported: Reported, side_mm: tuple[int, int], size_mm: Size
) -> Iterable[int]:
    """As far in as it goes and, if a depth was said, flush with the ends of what stands."""
    length = standing.request.truck.interior_mm[0]
    pushed = slid_mm(standing, *side_mm, size_mm)
    found = {pushed}
    if reported.x_mm is not None:
        found |= {box.end[0] for box in standing.boxes}
        found |= {box.end[0] - size_mm[0] for box in standing.boxes}
    return [x for x in sorted(found) if pushed <= x <= length - size_mm[0]]


def _places_inside(standing: Standing, reported: Reported, turn: Turn) -> Iterator[Size]:
    if reported.inside not in standing.index:
        return
    for low, high in standing.openings(reported.inside):
        for y in {low[1], high[1] - turn.size_mm[1]}:
            yield low[0], y, low[2]


def _distance_mm(reported: Reported, rear_mm: int, at: Size, size: Size) -> int:
    """How far the place is from what was reported. Depth is guessed, so it counts half; where it
    was not even said, a piece is thought to stand deep in its tier."""
    off_y = abs(2 * at[1] + size[1] - 2 * reported.y_mm)
    off_z = abs(2 * at[2] + size[2] - 2 * reported.z_mm)
    off_x = abs(at[0] - (rear_mm if reported.x_mm is None else reported.x_mm))
    return (off_y + off_z + off_x) // 2
