"""When a search stops: iterations where a run must repeat exactly, seconds where people wait."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol


class Stop(Protocol):
    """A stopping rule. `iterations` is how many the search has done so far."""

    def reached(self, iterations: int) -> bool: ...

    def share(self, iterations: int) -> float:
        """How much of the budget is used, 0 to 1."""
        ...


@dataclass(frozen=True, slots=True)
class Iterations:
    """Stops after a number of iterations."""

    limit: int

    def reached(self, iterations: int) -> bool:
        return iterations >= self.limit

    def share(self, iterations: int) -> float:
        return min(1.0, iterations / self.limit) if self.limit > 0 else 1.0


@dataclass(frozen=True, slots=True)
class Seconds:
    """Stops when `budget_s` seconds have passed on the given clock since this rule was made."""

    budget_s: float
    clock: Callable[[], float]
    _began_s: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_began_s", self.clock())

    def reached(self, iterations: int) -> bool:  # noqa: ARG002 - time counts, not iterations
        return self.clock() - self._began_s >= self.budget_s

    def share(self, iterations: int) -> float:  # noqa: ARG002
        if self.budget_s <= 0:
            return 1.0
        return max(0.0, min(1.0, (self.clock() - self._began_s) / self.budget_s))


@dataclass(frozen=True, slots=True)
class AnyOf:
    """Stops as soon as one of several rules does; with no rules, at once."""

    stops: tuple[Stop, ...]

    def reached(self, iterations: int) -> bool:
        return not self.stops or any(stop.reached(iterations) for stop in self.stops)

    def share(self, iterations: int) -> float:
        return max((stop.share(iterations) for stop in self.stops), default=1.0)
