"""What fits here? The pieces that fill a gap best, how they ride and where each of them is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from loading.planner.checker.dock import PART, floor_parts
from loading.planner.fitting.gaps import Gap
from loading.planner.fitting.judging import Judge, Objection
from loading.planner.fitting.rolls import Rolls, rolls_for
from loading.planner.fitting.standing import Box, Standing
from loading.planner.fitting.turns import Play, Turn, play_of, turns_of
from loading.planner.fitting.whereabouts import AtHand, Place, Whereabouts, at_hand
from loading.planner.plan import Placement, Size
from loading.planner.request import Item, LoadRequest, Progress

MOST = 12
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
    """The best pieces that may go into the gap, and the better ones that may not, each with why."""

    gap: Gap
    may_go: tuple[Fit, ...]
    may_not: tuple[Fit, ...]
    rolls: Rolls


@dataclass(frozen=True, slots=True)
class _Candidate:
    item: Item
    turn: Turn
    filled: int
    rank: int


def what_fits(
    request: LoadRequest, progress: Progress | None, gap: Gap, *, most: int = MOST
) -> Fits:
    """The pieces not loaded yet that fill the gap best: at most `most` that may go there.

    Judged by what stands there now. Of a piece the posture counts in which it fills the gap best
    and may go; pieces that are far to get come after those at hand that fill it about as well.
    """
    hand = at_hand(request, progress)
    finder = _Finder(request, Standing.of(request, progress), gap, hand)
    may_go: dict[str, Fit] = {}
    may_not: dict[str, Fit] = {}
    for candidate in finder.candidates():
        tag = candidate.item.tag
        if tag in may_go:
            continue
        if len(may_go) == most:
            break
        fit = finder.fit(candidate)
        if fit.may_go:
            may_go[tag] = fit
        else:
            may_not.setdefault(tag, fit)
    barred = [fit for tag, fit in may_not.items() if tag not in may_go]
    return Fits(gap, tuple(may_go.values()), tuple(barred[:most]), rolls_for(gap.size_mm))


class _Finder:
    def __init__(self, request: LoadRequest, standing: Standing, gap: Gap, hand: AtHand) -> None:
        self.request, self.standing, self.gap, self.hand = request, standing, gap, hand
        self.judge = Judge(standing)
        # Pieces alike in all that the rules look at are judged once.
        self._alike: dict[tuple[object, ...], tuple[Placement | None, tuple[Objection, ...]]] = {}

    def candidates(self) -> list[_Candidate]:
        """Every piece in every posture that goes into the gap, the best first."""
        found = [
            candidate
            for item in self.request.items
            if item.tag in self.hand.pieces
            for candidate in self._turned(item)
        ]
        found.sort(key=lambda c: (-c.rank, c.item.tag, c.turn.posture, c.turn.size_mm))
        return found

    def _turned(self, item: Item) -> Iterator[_Candidate]:
        depth, width, height = self.gap.size_mm
        trouble = _trouble(self.hand.pieces[item.tag])
        for turn in turns_of(self.request, item):
            along, across, up = turn.size_mm
            if along > self.gap.reach_mm or across > width or up > height:
                continue
            filled = WHOLE * min(along, depth) * across * up // (depth * width * height)
            sticks_out = WHOLE * max(0, along - depth) * across * up // (depth * width * height)
            yield _Candidate(item, turn, filled, filled - sticks_out - trouble)

    def fit(self, candidate: _Candidate) -> Fit:
        item, turn = candidate.item, candidate.turn
        place, objections = self._judged(item, turn)
        return Fit(
            tag=item.tag,
            posture=turn.posture,
            size_mm=turn.size_mm,
            at_mm=place.at_mm if place else None,
            level=place.level if place else item.level,
            filled=candidate.filled,
            play=self._play(item, turn, place),
            where=self.hand.pieces[item.tag],
            objections=(*objections, *self._floor(item)),
        )

    def _judged(self, item: Item, turn: Turn) -> tuple[Placement | None, tuple[Objection, ...]]:
        key = _likeness(item, turn)
        if key not in self._alike:
            self._alike[key] = self._best_place(item, turn)
        return self._alike[key]

    def _best_place(self, item: Item, turn: Turn) -> tuple[Placement | None, tuple[Objection, ...]]:
        """The place in the gap with the fewest objections, left before right."""
        places = [self._place(item, turn, y_mm) for y_mm in self._sides_mm(turn)]
        judged = [(place, self.judge.objections(place)) for place in places]
        return min(judged, key=lambda pair: len(pair[1]), default=(None, ()))

    def _sides_mm(self, turn: Turn) -> tuple[int, ...]:
        if self.gap.at_mm is None:
            return ()
        left = self.gap.at_mm[1]
        right = left + self.gap.size_mm[1] - turn.size_mm[1]
        return (left, right) if right > left else (left,)

    def _place(self, item: Item, turn: Turn, y_mm: int) -> Placement:
        """As deep and as low as the piece goes within the gap on that side."""
        assert self.gap.at_mm is not None
        x_mm, _, z_mm = self.gap.at_mm
        if self.gap.inside is None:
            x_mm = slid_mm(self.standing, y_mm, z_mm, turn.size_mm)
            z_mm = settled_mm(self.standing, (x_mm, y_mm, z_mm), turn.size_mm)
            x_mm = slid_mm(self.standing, y_mm, z_mm, turn.size_mm)
        at, inside = (x_mm, y_mm, z_mm), self.gap.inside
        level = self.judge.level_for(item, at, turn.size_mm, inside)
        return Placement(item.tag, self.gap.tier, level, at, turn.size_mm, turn.posture, inside)

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


def slid_mm(standing: Standing, y_mm: int, z_mm: int, size_mm: Size) -> int:
    """How near the nose a piece comes that is pushed straight in from the doors."""
    _, across, up = size_mm
    return max(
        (
            box.end[0]
            for box in standing.boxes
            if min(box.end[1], y_mm + across) - max(box.at[1], y_mm) > 1
            and min(box.end[2], z_mm + up) - max(box.at[2], z_mm) > 1
        ),
        default=0,
    )


def settled_mm(standing: Standing, at_mm: Size, size_mm: Size) -> int:
    """The height at which a piece comes to rest that is let down there."""
    (x, y, z), (along, across, _) = at_mm, size_mm
    return max(
        (
            box.end[2]
            for box in standing.boxes
            if box.end[2] <= z + 1
            and min(box.end[0], x + along) - max(box.at[0], x) > 1
            and min(box.end[1], y + across) - max(box.at[1], y) > 1
        ),
        default=0,
    )


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
