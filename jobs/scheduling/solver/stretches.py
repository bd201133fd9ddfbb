"""Going through a schedule stretch by stretch, see `windows`, again and again."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from jobs.scheduling.solver import events, windows
from jobs.scheduling.solver.listing import Found
from jobs.scheduling.solver.tables import (
    FAR,
    Array,
    Choices,
    Desk,
    Made,
    Tables,
    choices_of,
    desk_of,
    made_of,
)

_ACTIVITIES = 30
"""So many begin in a stretch, about."""
_TRIES, _MOST_TRIES = 200, 6400
"""In each stretch of the first sweep, and of the longest: thorough ones find more than many do."""
_LONGER, _MARGIN = 4.0, 0.9
"""A sweep takes so many times as long as the one before at most, and so much of the time left."""
_HEAT, _SOFT = 0.00001, 0.03
"""How much worse may be taken, and how close to the greatest bound another counts; shares of the
whole time."""
_GOLDEN = 0.618


@dataclass(slots=True)
class Sweeps:
    """The best schedule so far, and one that is being made from it, settled until `before`."""

    tables: Tables
    best: Found
    seed: int
    rounds: int = 0
    sweeps: int = 0
    tries: int = _TRIES
    began: float = 0.0
    before: Desk = field(init=False)
    desk: Desk = field(init=False)
    made: Made = field(init=False)
    now: Choices = field(init=False)
    kept: Choices = field(init=False)
    near: Array = field(init=False)

    def __post_init__(self) -> None:
        count = len(self.tables.release)
        self.before, self.desk = desk_of(self.tables), desk_of(self.tables)
        self.made, self.kept = made_of(self.tables), choices_of(np.zeros(count))
        self.near = np.zeros(count, np.int64)
        self._begin()

    def advance(self, share: Callable[[], float]) -> None:
        """One stretch; when it is the last, the next sweep begins.

        `share` is how much of the time has passed.
        """
        self.rounds += 1
        end = max(1, self.best.end)
        until, settled = self._reach(end)
        step = (self.seed * 1_000_003 + self.rounds) % (1 << 31)
        tables, strict = self.tables, self.best.strict
        windows.look(
            tables,
            self.now,
            self.kept,
            strict,
            self.before,
            self.desk,
            self.made,
            self.near,
            until,
            self.tries,
            end * _HEAT,
            end * _SOFT,
            step,
        )
        windows.advance(tables, self.now, strict, self.before, self.desk, self.made, settled)
        if settled == FAR:
            self._keep()
            self._plan(share())
            self._begin()

    def _plan(self, now: float) -> None:
        """As many tries in the next sweep as there is time for."""
        times = (1.0 - now) * _MARGIN / max(1e-9, now - self.began)
        tries = int(self.tries * min(times, _LONGER))
        self.tries, self.began = max(_TRIES, min(tries, _MOST_TRIES)), now

    def _begin(self) -> None:
        self.sweeps += 1
        self.now = Choices(*(values.copy() for values in self.best.choices))
        self.now.key[:] = self.best.made.goes
        events.lay_out(self.tables, self.now, self.before, self.made)

    def _reach(self, end: int) -> tuple[int, int]:
        """Until when to look and until when to settle; stretches begin elsewhere in each sweep."""
        length = max(1.0, end * min(1.0, _ACTIVITIES / len(self.tables.release)))
        now = int(self.before.clock[events.NOW])
        ahead = length * (1.0 if now else 0.5 + self.sweeps * _GOLDEN % 1.0 / 2)
        if now + ahead + 0.3 * length >= end:
            return FAR, FAR
        return int(now + ahead), int(now + ahead / 2) + 1

    def _keep(self) -> None:
        if self.before.clock[events.BEGUN] < len(self.tables.release):
            return
        cost = float(events.cost_of(self.tables, self.made))
        if cost < self.best.cost:
            made = Made(*(values.copy() for values in self.made))
            self.best = Found(self.now, made, cost, self.best.strict)
