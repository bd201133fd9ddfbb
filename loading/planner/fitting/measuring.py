"""One measure when a tier is closed puts its estimated places right.

The loader reads a tape once: how wide the gap beside a piece is, or how far the tier reaches. The
estimated pieces that the measure is about are shifted together, with what stands on them and what
they push, as far as geometry allows. Places that a person confirmed, or that the plan gave and
nobody contradicted, stay where they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from loading.planner.fitting.judging import GEOMETRY, Judge
from loading.planner.fitting.standing import TOLERANCE_MM, Box, Standing
from loading.planner.fitting.turns import play_of
from loading.planner.plan import Placement, Size

# A shift that geometry bars in full is tried again shorter by this much at a time.
FINER = 8


@dataclass(frozen=True, slots=True)
class FreeWidth:
    """So much is free between a piece and what is next to it on that side ("left" or "right")."""

    tag: str
    side: str
    width_mm: int


@dataclass(frozen=True, slots=True)
class FaceDepth:
    """So far from the nose the foremost piece of the tier reaches."""

    tier: int
    depth_mm: int


@dataclass(frozen=True, slots=True)
class Correction:
    """The places that changed; `left_mm` of the difference could not be put down to places: a size
    on the list is wrong by about that much."""

    placements: tuple[Placement, ...]
    left_mm: int


def corrected(
    standing: Standing, estimated: Iterable[str], measure: FreeWidth | FaceDepth
) -> Correction:
    """The estimated places after the measure; the measured piece must be one of them to move."""
    movable = frozenset(estimated)
    axis, off_mm, moved = _asked(standing, movable, measure)
    if off_mm == 0 or not moved:
        return Correction((), abs(off_mm))
    for shift in _shifts(off_mm):
        group = _with_company(standing, moved, movable, axis, shift)
        places = _shifted(standing, group, axis, shift)
        if places is not None:
            return Correction(places, abs(off_mm - shift))
    return Correction((), abs(off_mm))


def _asked(
    standing: Standing, movable: frozenset[str], measure: FreeWidth | FaceDepth
) -> tuple[int, int, frozenset[str]]:
    """Along which axis, by how much, and which pieces themselves."""
    if isinstance(measure, FaceDepth):
        boxes = standing.tier_boxes(measure.tier)
        reach = max((box.end[0] for box in boxes), default=measure.depth_mm)
        front = {b.name for b in boxes if b.end[0] >= min(reach, measure.depth_mm)}
        if measure.depth_mm > reach:
            front = {b.name for b in boxes if b.end[0] == reach}
        return 0, measure.depth_mm - reach, frozenset(front & movable)
    if measure.tag not in standing.index:
        return 1, 0, frozenset()
    play = play_of(standing, standing.boxes[standing.index[measure.tag]])
    if measure.side == "left":
        return 1, measure.width_mm - play.left_mm, frozenset({measure.tag}) & movable
    return 1, play.right_mm - measure.width_mm, frozenset({measure.tag}) & movable


def _shifts(off_mm: int) -> Iterator[int]:
    """The whole difference, then ever less of it."""
    tried = set()
    for part in range(FINER, 0, -1):
        shift = off_mm * part // FINER if off_mm > 0 else -(-off_mm * part // FINER)
        if shift and shift not in tried:
            tried.add(shift)
            yield shift


def _with_company(
    standing: Standing, moved: frozenset[str], movable: frozenset[str], axis: int, shift: int
) -> frozenset[str]:
    """The pieces, the estimated ones that stand on them or ride in them, and those they push."""
    group = set(moved)
    waiting = list(moved)
    while waiting:
        box = standing.boxes[standing.index[waiting.pop()]]
        for other in standing.boxes:
            goes_too = (
                other.inside == box.name or _on(other, box) or _pushed(box, other, axis, shift)
            )
            if other.name in movable and other.name not in group and goes_too:
                group.add(other.name)
                waiting.append(other.name)
    return frozenset(group)


def _on(upper: Box, lower: Box) -> bool:
    gap = upper.at[2] - lower.end[2]
    return -TOLERANCE_MM <= gap <= TOLERANCE_MM and _share(upper, lower, (0, 1))


def _pushed(box: Box, other: Box, axis: int, shift: int) -> bool:
    """Whether the box, shifted, would run into the other."""
    if not _share(box, other, tuple(a for a in range(3) if a != axis)):
        return False
    if shift > 0:
        return box.end[axis] - TOLERANCE_MM <= other.at[axis] < box.end[axis] + shift
    return box.at[axis] + shift < other.end[axis] <= box.at[axis] + TOLERANCE_MM


def _share(one: Box, other: Box, axes: tuple[int, ...]) -> bool:
    return all(
        min(one.end[a], other.end[a]) - max(one.at[a], other.at[a]) > TOLERANCE_MM for a in axes
    )


def _shifted(
    standing: Standing, group: frozenset[str], axis: int, shift: int
) -> tuple[Placement, ...] | None:
    """The group's places after the shift; None if geometry bars it, or what stays needs it."""
    rest = standing.without(group)
    places = tuple(
        replace(place, at_mm=_along(place.at_mm, axis, shift))
        for place in standing.placements
        if place.tag in group
    )
    if _breaks(standing, (p for p in standing.placements if p.tag not in group), rest, places):
        return None
    return places


def _breaks(
    standing: Standing,
    staying: Iterable[Placement],
    rest: Standing,
    places: tuple[Placement, ...],
) -> bool:
    """Whether, put in one after another from the bottom, something breaks a rule of geometry that
    it did not break before: the shifted pieces, and then those that may rest on them."""
    now = rest
    for place in sorted(places, key=lambda p: (p.at_mm[2], p.at_mm[0])):
        if _geometry(now, place) - _geometry(standing.without((place.tag,)), _was(standing, place)):
            return True
        now = now.with_piece(place)
    return any(
        _geometry(now.without((p.tag,)), p) - _geometry(standing.without((p.tag,)), p)
        for p in staying
        if p.at_mm[2] > 0
    )


def _was(standing: Standing, place: Placement) -> Placement:
    return next(p for p in standing.placements if p.tag == place.tag)


def _geometry(standing: Standing, place: Placement) -> set[str]:
    """Which rules of geometry a place breaks; the way in is past when a tier is closed."""
    found = {objection.rule for objection in Judge(standing).geometry(place)}
    return found & GEOMETRY - {"R7"}


def _along(at: Size, axis: int, shift: int) -> Size:
    moved = [*at]
    moved[axis] += shift
    return moved[0], moved[1], moved[2]
