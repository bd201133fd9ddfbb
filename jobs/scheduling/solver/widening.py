"""Schedules made side by side, see `abreast`, again and again, and slowly more of them.

Few at first, so that there is one soon. Each time another ruler is laid to what is under way, for
none is the best for every problem. Once each ruler had its turn, the beginning of the best so far
is kept, each time another part of it: what was lost late may be won without losing what was won
early.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from jobs.scheduling.solver import abreast, events
from jobs.scheduling.solver.guides import (
    Guide,
    Lines,
    Offers,
    Pad,
    lines_of,
    offers_of,
    pad_of,
)
from jobs.scheduling.solver.tables import Array, Made, Tables, made_of

_NARROWEST, _NARROW, _MOST = 24, 150, 2_000_000
"""Lines the first time and the second; lines times activities at most, for all must find room."""
_WIDER, _MARGIN = 1.15, 0.9
"""So many times as many lines as the time before, if that takes no more than so much of the time
that is left."""
_AT_ONCE = 2000
"""Lines to which an activity is added between two looks at the stopping rule."""
_RULERS = ((0.025, 1.0), (0.013, 0.3))
"""How close to the greatest bound another counts, as a share of the whole time, and how much the
longest way through the needs counts beside a pool."""
_CHANCE = 0.00025
"""How much chance adds once all rulers have been laid, as a share of the whole time."""
_GOLDEN, _MOST_KEPT = 0.618, 0.6


@dataclass(slots=True)
class Widening:
    """The best schedule so far, and those under way."""

    tables: Tables
    guide: Guide
    scale: int
    seed: int
    best: Made | None = None
    steps: list[tuple[int, int]] = field(init=False, default_factory=list)
    kept: int = 0
    cost: float = float("inf")
    rounds: int = 0
    times: int = 0
    width: int = _NARROWEST
    began: float = 0.0
    done: int = 0
    count: int = 0
    lines: Lines = field(init=False)
    after: Lines = field(init=False)
    offers: Offers = field(init=False)
    pad: Pad = field(init=False)
    trace: Array = field(init=False)

    def __post_init__(self) -> None:
        self.pad = pad_of(self.tables, self.guide)
        self._begin()

    def advance(self, share: Callable[[], float]) -> None:
        """Some activities more; after the last, all begin anew.

        `share` is how much of the time has passed.
        """
        self.rounds += 1
        activities = len(self.tables.release)
        more = min(activities - self.done, max(1, _AT_ONCE // self.width))
        self.count = abreast.go_on(
            self.tables,
            self.guide,
            self.lines,
            self.after,
            self.count,
            self.offers,
            self.pad,
            self.trace[self.done : self.done + more],
            self._ruler(),
        )
        self.done += more
        if more % 2:
            self.lines, self.after = self.after, self.lines
        if self.done == activities or not self.count:
            if self.count:
                self._keep()
            self.times += 1
            self._plan(share())
            self._begin()

    def _ruler(self) -> tuple[float, float, float, int]:
        soft, needs = _RULERS[self.times % len(_RULERS)]
        chance = _CHANCE * self.scale if self.times >= len(_RULERS) else 0.0
        seed = (self.seed * 1_000_003 + self.times) % (1 << 31)
        return max(1.0, soft * self.scale), needs, chance, seed

    def _plan(self, now: float) -> None:
        """How much of the best is kept next time, and how many lines there is time for."""
        activities = len(self.tables.release)
        a_line = (now - self.began) / (self.width * (activities - self.kept))
        self.kept = 0
        if self.best is not None and self.times >= len(_RULERS):
            self.kept = int(self.times * _GOLDEN % 1.0 * _MOST_KEPT * activities)
        time_for = (1.0 - now) * _MARGIN / max(1e-12, a_line * (activities - self.kept))
        wider = max(_NARROW, self.width * _WIDER)
        width = int(min(wider, time_for, _MOST // activities))
        self.width, self.began = max(_NARROWEST, width), now

    def _begin(self) -> None:
        self.lines = lines_of(self.tables, self.guide, self.width)
        self.after = lines_of(self.tables, self.guide, self.width)
        self.offers = offers_of(self.width)
        self.trace = np.empty((len(self.tables.release), self.width, 3), np.int32)
        self.done, self.count = 0, 1
        abreast.lay_out(self.tables, self.guide, self.lines)
        for activity, option in self.steps[: self.kept]:
            abreast.take(
                self.tables, self.guide, self.lines, 0, activity, option, self.after, 0, self.pad
            )
            self.lines, self.after = self.after, self.lines
            self.trace[self.done, 0] = 0, activity, option
            self.done += 1

    def _keep(self) -> None:
        """The line that ends first, if it is the best so far."""
        costs = self.lines.clock[: self.count, abreast.LONGEST].astype(np.float64)
        costs += events.LATE_COST * self.lines.clock[: self.count, abreast.LATE]
        line = int(costs.argmin())
        if costs[line] < self.cost:
            self.best, self.cost = self._again(line), float(costs[line])

    def _again(self, line: int) -> Made:
        """The schedule of a line, made once more by itself to see who did what."""
        steps = []
        for traced in self.trace[::-1]:
            line, activity, option = traced[line].tolist()
            steps.append((activity, option))
        tables, guide, pad, made = self.tables, self.guide, self.pad, made_of(self.tables)
        one, other = lines_of(tables, guide, 1), lines_of(tables, guide, 1)
        abreast.lay_out(tables, guide, one)
        self.steps = steps[::-1]
        for activity, option in self.steps:
            abreast.take(tables, guide, one, 0, activity, option, other, 0, pad)
            one, other = other, one
            made.mode[activity] = guide.mode[option]
            made.goes[activity], made.begins[activity], made.ends[activity] = pad.times[:3]
            seats = int(guide.seats[option])
            made.team[activity, :seats] = pad.team[:seats]
        return made
