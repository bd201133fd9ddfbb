"""A stopping rule spent in parts: one search after another, all within the one budget."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field

from loading.planner.stopping import Iterations, Stop

Counted = dict[int, int]


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
    until: float
    before: int
    counted: Counted = field(repr=False, compare=False, hash=False)

    def reached(self, iterations: int) -> bool:
        self.counted[threading.get_ident()] = iterations
        done = self.before + iterations
        return self.stop.reached(done) or self.stop.share(done) >= self.until

    def share(self, iterations: int) -> float:
        return self.stop.share(self.before + iterations)


class Budget:
    """What is left of a stopping rule. Each worker of a search counts its own iterations: the one
    that counted most says what a part has used."""

    def __init__(self, stop: Stop) -> None:
        self._stop = stop
        self._before = 0
        self._counted: Counted = {}

    def spent(self) -> float:
        """The share of the whole that is used."""
        return self._stop.share(self._iterations())

    def is_over(self) -> bool:
        return self._stop.reached(self._iterations())

    def part(self, share: float) -> Stop:
        """A rule for the next search, which may use so much of the whole (or what is left)."""
        self._before, self._counted = self._iterations(), {}
        until = min(1.0, self.spent() + share)
        if isinstance(self._stop, Iterations):
            limit = max(0, round(until * self._stop.limit) - self._before)
            return PartOfIterations(limit, self._before, self._stop.limit, self._counted)
        return PartOfStop(self._stop, until, self._before, self._counted)

    def _iterations(self) -> int:
        return self._before + max(self._counted.values(), default=0)
