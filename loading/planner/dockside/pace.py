"""How long each step takes, and so when it is done: one forklift, the hands, the truck's door.

The steps keep their order only where something makes them: the forklift changes the lanes in the
plan's order, pieces come onto the floor and into the truck in the plan's order, a vault comes when
a spot is free, a piece when the floor has room. So more spots, floor or doors show as time saved
without another search.
"""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from loading.planner.checker.dock import PART
from loading.planner.dockside.floor import OFF_SPOT, ONTO_FLOOR, DockFloor
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import Dock, LoadRequest

# Seconds by what is done. Common practice, no source: a crew's measured times replace them.
USUAL_S: Mapping[str, int] = {
    "move": 180,
    "pull": 240,
    "clear": 120,
    "store": 240,
    "unpack": 90,
    "fetch": 150,
    "return": 90,
    "load": 90,
    "take_out": 90,
    "fill": 45,
    "close": 120,
}
FORKLIFT, HANDS, DOOR = "forklift", "hands", "door"
DOES: Mapping[str, str] = {
    "move": FORKLIFT,
    "pull": FORKLIFT,
    "clear": FORKLIFT,
    "store": FORKLIFT,
    "unpack": HANDS,
    "fetch": HANDS,
    "return": HANDS,
    "load": DOOR,
    "take_out": DOOR,
    "fill": DOOR,
    "close": DOOR,
}
# Steps of one line begin in the plan's order. Taking a piece out is in two: it needs the floor.
LINES: tuple[tuple[str, ...], ...] = (
    ("move", "pull", "store"),
    (*ONTO_FLOOR, "return"),
    ("load", "take_out", "fill", "close"),
)


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds of each kind of step, and how many can work at once at each place."""

    seconds: Mapping[str, int] = field(default_factory=lambda: dict(USUAL_S))
    forklifts: int = 1
    hands: int = 2
    doors: int = 1

    def seconds_of(self, step: Step) -> int:
        return self.seconds.get(step.do, 0)

    def at_once(self, place: str) -> int:
        return {FORKLIFT: self.forklifts, HANDS: self.hands, DOOR: self.doors}[place]


@dataclass(frozen=True, slots=True)
class Span:
    """When a step is done, in seconds from the first step of the plan that is still to do."""

    begins_s: int
    ends_s: int


def spans(request: LoadRequest, plan: LoadPlan, pace: Pace) -> tuple[Span, ...]:
    """One for each step, in the plan's order; steps of the progress take no time."""
    return _Work(request, plan, pace).run()


def takes_s(request: LoadRequest, plan: LoadPlan, pace: Pace, dock: Dock | None = None) -> int:
    """Seconds until the last step is done, on another dock if one is given (no smaller one)."""
    asked = request if dock is None else replace(request, dock=dock)
    return max((span.ends_s for span in spans(asked, plan, pace)), default=0)


class _Work:
    """The steps as they begin and end. What has begun to come holds its spot or its floor."""

    def __init__(self, request: LoadRequest, plan: LoadPlan, pace: Pace) -> None:
        self.steps, self.pace, self.dock = plan.steps, pace, request.dock
        self.floor = DockFloor(request)
        self.spans: dict[int, Span] = {}
        done = min(len(request.progress.steps) if request.progress else 0, len(self.steps))
        for n in range(done):
            self.floor.do(n + 1, self.steps[n])
            self.spans[n] = Span(0, 0)
        self.ended = set(range(done))
        self.needs = _needs(request, self.steps, done)
        later = range(done, len(self.steps))
        self.queues = [deque(n for n in later if self.steps[n].do in line) for line in LINES]
        self.free = [n for n in later if not any(self.steps[n].do in line for line in LINES)]
        self.busy = dict.fromkeys((FORKLIFT, HANDS, DOOR), 0)
        self.running: list[tuple[int, int]] = []

    def run(self) -> tuple[Span, ...]:
        now = 0
        while self.running or self.free or any(self.queues):
            while (n := self._first(lawful=True)) is not None:
                self._begin(n, now)
            if not self.running:
                # Only a plan that breaks the dock's rules gets stuck: its next step is done anyway.
                n = self._first(lawful=False)
                if n is None:
                    break
                self._begin(n, now)
            now, n = heapq.heappop(self.running)
            self._end(n)
        return tuple(self.spans[n] for n in range(len(self.steps)))

    def _first(self, *, lawful: bool) -> int | None:
        """The first step of the plan that can begin; if not lawful, the first that is next."""
        heads = {queue[0] for queue in self.queues if queue}
        nexts = [n for n in heads if all(n not in q or q[0] == n for q in self.queues)]
        able = [n for n in (*nexts, *self.free) if not lawful or self._can(n)]
        return min(able, default=None)

    def _can(self, n: int) -> bool:
        step = self.steps[n]
        place = DOES.get(step.do, HANDS)
        if self.busy[place] >= self.pace.at_once(place) or not self.needs[n] <= self.ended:
            return False
        if step.do == "pull":
            return len(self.floor.vaults) < self.dock.vault_spots
        if step.do in ONTO_FLOOR and step.tag is not None:
            used = self.floor.parts + self.floor.parts_of(step.tag)
            return used <= PART * self.dock.floor_mm2
        return True

    def _begin(self, n: int, now: int) -> None:
        step = self.steps[n]
        self.busy[DOES.get(step.do, HANDS)] += 1
        for queue in self.queues:
            if queue and queue[0] == n:
                queue.popleft()
        if n in self.free:
            self.free.remove(n)
        if step.do == "pull" or step.do in ONTO_FLOOR:
            self.floor.do(n + 1, step)
        self.spans[n] = Span(now, now + self.pace.seconds_of(step))
        heapq.heappush(self.running, (self.spans[n].ends_s, n))

    def _end(self, n: int) -> None:
        step = self.steps[n]
        self.busy[DOES.get(step.do, HANDS)] -= 1
        self.ended.add(n)
        if not (step.do == "pull" or step.do in ONTO_FLOOR):
            self.floor.do(n + 1, step)


def _needs(request: LoadRequest, steps: Sequence[Step], done: int) -> dict[int, set[int]]:
    """For each step still to do, the earlier ones that must have ended before it begins.

    Those with the same piece or the same vault; in the lanes the one before; and before a tier is
    closed all that goes into the truck.
    """
    last: dict[str, int] = {}
    in_vault: dict[str, set[int]] = {}
    to_close: set[int] = set()
    needs: dict[int, set[int]] = {}
    for n in range(done, len(steps)):
        step = steps[n]
        vault = request.vault_of(step.tag) if step.tag is not None else step.vault
        keys = [f"tag {step.tag}"] if step.tag is not None else []
        keys += ["lanes"] if step.do in LINES[0] else []
        keys += [f"vault {vault}"] if step.do in ("unpack", "return") else []
        needs[n] = {last[key] for key in keys if key in last}
        if step.do == "close":
            needs[n] |= to_close
            to_close = set()
        if step.do in OFF_SPOT:
            needs[n] |= in_vault.pop(vault or "", set())
        elif step.do in LINES[2]:
            to_close.add(n)
        if step.do in ("pull", "unpack", "return"):
            in_vault.setdefault(vault or "", set()).add(n)
        last |= dict.fromkeys((key for key in keys if not key.startswith("vault ")), n)
        if step.do == "pull":
            last[f"vault {vault}"] = n
    return needs
