"""What fits here? The pieces that fill a gap best, how they ride and where each of them is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from loading.planner.checker.dock import PART, floor_parts
from loading.planner.fitting.gaps import Gap
from loading.planner.fitting.judging import GEOMETRY, Judge, Objection
from loading.planner.fitting.rolls import Rolls, rolls_for
from loading.planner.fitting.spots import Spot, spots_of
from loading.planner.fitting.standing import Box, Standing
from loading.planner.fitting.turns import Play, Turn, play_of, turns_of
from loading.planner.fitting.whereabouts import AtHand, Place, Whereabouts, at_hand
from loading.planner.plan import Placement, Size
from loading.planner.request import Item, LoadRequest, Progress

MOST = 12
# How many places are judged by all rules before the answer is given: what keeps it quick where
# hardly anything may go.
JUDGED_MOST = 100
WHOLE = 1000
# What it costs to get a piece, in thousandths of the gap that it would have to fill better.
# Our own weights, no source.
TROUBLE: Mapping[Place, int] = {
    Place.FLOOR: 0,
    Place.OPEN_VAULT: 20,
    Place.LOOSE: 40,
    Place.VAULT: 150,
}
PIECE_BEFORE, PIECES_BEFORE_MOST = 15, 10
# A bottom that hangs over counts a quarter of what the same share of the gap does.
OVERHANG_PART = 4


@dataclass(frozen=True, slots=True)
class Fit:
    """A piece in the gap. `filled` is in thousandths of the gap's volume.

    `at_mm` is None, and `play` tells what the gap itself leaves, where the gap has no known place.
    """

    tag: str
    posture: str
    size_mm: Size
    at_mm: Size | None
    level: str | None
    filled: int
    play: Play
    where: Whereabouts
    objections: tuple[Objection, ...] = ()

    @property
    def may_go(self) -> bool:
        return not self.objections


@dataclass(frozen=True, slots=True)
class Fits:
    """The best pieces that may go into the gap, and those that would find a stand there and fill it
    better, but may not go, each with why."""

    gap: Gap
    may_go: tuple[Fit, ...]
    may_not: tuple[Fit, ...]
    rolls: Rolls


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A piece in a posture; `spots` are the places in the gap where something holds it up."""

    item: Item
    turn: Turn
    filled: int
    rank: int
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class _Found:
    candidate: _Candidate
    place: Placement | None
    objections: tuple[Objection, ...]


def what_fits(
    request: LoadRequest, progress: Progress | None, gap: Gap, *, most: int = MOST
) -> Fits:
    """The pieces not loaded yet that fill the gap best: at most `most` that may go there.

    Judged by what stands there now. Of a piece the posture counts in which it fills the gap best
    and may go; pieces that are far to get come after those at hand that fill it about as well.
    """
    hand = at_hand(request, progress)
    finder = _Finder(request, Standing.of(request, progress), gap, hand)
    may_go: dict[str, _Found] = {}
    may_not: dict[str, _Found] = {}
    for candidate in finder.candidates():
        tag = candidate.item.tag
        if tag in may_go:
            continue
        if len(may_go) == most or finder.judged >= JUDGED_MOST:
            break
        found = finder.found(candidate)
        if not found.objections:
            may_go[tag] = found
        else:
            may_not.setdefault(tag, found)
    barred = [found for tag, found in may_not.items() if tag not in may_go][:most]
    return Fits(
        gap,
        tuple(finder.fit(found) for found in may_go.values()),
        tuple(finder.fit(found) for found in barred),
        rolls_for(gap.size_mm),
    )


class _Finder:
    def __init__(self, request: LoadRequest, standing: Standing, gap: Gap, hand: AtHand) -> None:
        self.request, self.standing, self.gap, self.hand = request, standing, gap, hand
        self.judge = Judge(standing)
        self.judged = 0
        # Pieces alike in all that the rules look at are judged once.
        self._alike: dict[tuple[object, ...], tuple[Placement | None, tuple[Objection, ...]]] = {}

    def candidates(self) -> list[_Candidate]:
        """Every piece in every posture that goes into the gap and is held up there, best first."""
        pieces = [
            (item, turn)
            for item in self.request.items
            if item.tag in self.hand.pieces
            for turn in turns_of(self.request, item)
            if self._goes_in(turn)
        ]
        spots = spots_of(self.standing, self.gap, {turn.size_mm for _, turn in pieces})
        found = [
            self._candidate(item, turn, spots[turn.size_mm])
            for item, turn in pieces
            if spots[turn.size_mm] or self.gap.at_mm is None
        ]
        found.sort(key=lambda c: (-c.rank, c.item.tag, c.turn.posture, c.turn.size_mm))
        return found

    def _goes_in(self, turn: Turn) -> bool:
        along, across, up = turn.size_mm
        _, width, height = self.gap.size_mm
        return along <= self.gap.reach_mm and across <= width and up <= height

    def _candidate(self, item: Item, turn: Turn, spots: tuple[Spot, ...]) -> _Candidate:
        depth, width, height = self.gap.size_mm
        along, across, up = turn.size_mm
        filled = WHOLE * min(along, depth) * across * up // (depth * width * height)
        sticks_out = WHOLE * max(0, along - depth) * across * up // (depth * width * height)
        rank = filled - sticks_out - _trouble(self.hand.pieces[item.tag])
        overhang = WHOLE - spots[0].held if spots else 0
        return _Candidate(item, turn, filled, rank - overhang // OVERHANG_PART, spots)

    def found(self, candidate: _Candidate) -> _Found:
        """The best place for a candidate, and what speaks against it."""
        key = _likeness(candidate.item, candidate.turn)
        if key not in self._alike:
            self._alike[key] = self._best_place(candidate)
        place, objections = self._alike[key]
        return _Found(candidate, place, (*objections, *self._floor(candidate.item)))

    def _best_place(self, candidate: _Candidate) -> tuple[Placement | None, tuple[Objection, ...]]:
        """The spot with the fewest objections, those of geometry first."""
        best: tuple[tuple[int, int], Placement, tuple[Objection, ...]] | None = None
        for spot in candidate.spots:
            place = self._place(candidate, spot.at_mm)
            objections = self.judge.objections(place)
            self.judged += 1
            key = sum(o.rule in GEOMETRY for o in objections), len(objections)
            if best is None or key < best[0]:
                best = key, place, objections
            if not objections:
                break
        return (None, ()) if best is None else best[1:]

    def _place(self, candidate: _Candidate, at: Size) -> Placement:
        item, turn, inside = candidate.item, candidate.turn, self.gap.inside
        level = self.judge.level_for(item, at, turn.size_mm, inside)
        return Placement(item.tag, self.gap.tier, level, at, turn.size_mm, turn.posture, inside)

    def fit(self, found: _Found) -> Fit:
        item, turn, place = found.candidate.item, found.candidate.turn, found.place
        return Fit(
            tag=item.tag,
            posture=turn.posture,
            size_mm=turn.size_mm,
            at_mm=place.at_mm if place else None,
            level=place.level if place else item.level,
            filled=found.candidate.filled,
            play=self._play(item, turn, place),
            where=self.hand.pieces[item.tag],
            objections=found.objections,
        )

    def _play(self, item: Item, turn: Turn, place: Placement | None) -> Play:
        if place is None:
            depth, width, height = self.gap.size_mm
            along, across, up = turn.size_mm
            return Play(0, width - across, max(0, depth - along), height - up)
        end = tuple(a + s for a, s in zip(place.at_mm, turn.size_mm, strict=True))
        box = Box(item.tag, place.at_mm, (end[0], end[1], end[2]), item=item, inside=place.inside)
        return play_of(self.standing, box)

    def _floor(self, item: Item) -> tuple[Objection, ...]:
        """Whether the dock floor has room for a piece that is not on it yet (contract R10)."""
        if self.hand.pieces[item.tag].place is Place.FLOOR:
            return ()
        needs_mm2 = -(-floor_parts(self.request, item) // PART)
        if needs_mm2 <= self.hand.floor_free_mm2:
            return ()
        return (Objection("R10", "the dock floor has no room for it now"),)


def _trouble(where: Whereabouts) -> int:
    before = min(where.pieces_before, PIECES_BEFORE_MOST)
    return TROUBLE[where.place] + PIECE_BEFORE * before


def _likeness(item: Item, turn: Turn) -> tuple[object, ...]:
    return (
        turn,
        item.size_mm,
        item.postures,
        item.wrap,
        item.weight_g,
        item.bears_g,
        item.fragile,
        item.carton,
        item.level,
        item.stop,
        item.last_on,
    )
