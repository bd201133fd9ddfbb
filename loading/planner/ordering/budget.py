"""A stopping rule spent in parts: one search after another, all within the one budget."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field

from loading.planner.stopping import Iterations, Stop

Counted = dict[int, int]  # by thread: the workers of a search count on their own
OVERRUN = 2.5  # times its share that a part may take to do enough


@dataclass(frozen=True, slots=True)
class PartOfIterations(Iterations):
    """`limit` more iterations after `before`; its share is that of the whole budget.

    It is an `Iterations`, because a search that counts iterations repeats exactly.
    """

    before: int
    whole: int
    counted: Counted = field(repr=False, compare=False, hash=False)

    def reached(self, iterations: int) -> bool:
        self.counted[threading.get_ident()] = iterations
        return iterations >= self.limit

    def share(self, iterations: int) -> float:
        return Iterations(self.whole).share(self.before + iterations)


@dataclass(frozen=True, slots=True)
class PartOfStop:
    """Any other rule, up to a share of it; also its share is that of the whole budget."""

    stop: Stop
    began: float
    until: float
    at_least: int
    or_all: bool
    before: int
    counted: Counted = field(repr=False, compare=False, hash=False)

    def reached(self, iterations: int) -> bool:
        self.counted[threading.get_ident()] = iterations
        done = self.before + iterations
        if self.stop.reached(done):
            return True
        share = self.stop.share(done)
        if share < self.until or sum(list(self.counted.values())) < self.at_least:
            return False
        return not self.or_all or share - self.began <= OVERRUN * (self.until - self.began)

    def share(self, iterations: int) -> float:
        return self.stop.share(self.before + iterations)


class Budget:
    """What is left of a stopping rule.

    A search that counts iterations for itself leaves as many as its busiest worker has not used.
    """

    def __init__(self, stop: Stop) -> None:
        self._stop = stop
        self._before = 0
        self._counted: Counted = {}

    def spent(self) -> float:
        """The share of the whole that is used."""
        return self._stop.share(self._iterations())

    def is_over(self) -> bool:
        return self._stop.reached(self._iterations())

    def part(self, share: float, *, at_least: int = 0, or_all: bool = False) -> Stop:
        """A rule for the next search, which may use so much of the whole (or what is left).

        It goes on until it has done `at_least` iterations. If that takes more than `OVERRUN` times
        its share it goes on, `or_all`, to the end of the whole: others would cost too much.
        """
        self._before, self._counted = self._iterations(), {}
        began = self.spent()
        until = min(1.0, began + share)
        if isinstance(self._stop, Iterations):
            left = max(0, self._stop.limit - self._before)
            own = round(until * self._stop.limit) - self._before
            limit = max(own, at_least)
            if or_all and limit > OVERRUN * own:
                limit = left
            limit = min(limit, left)
            return PartOfIterations(limit, self._before, self._stop.limit, self._counted)
        return PartOfStop(self._stop, began, until, at_least, or_all, self._before, self._counted)

    def _iterations(self) -> int:
        return self._before + max(self._counted.values(), default=0)
