"""What a floor schedule is made from. Times are seconds from now, places are mm on the floor."""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Protocol

from jobs.scheduling.assigning import BY_FORKLIFT, PARTS_FOR, Part
from jobs.scheduling.carrying import least_laden_first
from jobs.scheduling.rates import DEFAULT_RATES, WorkRates, duration_s
from jobs.scheduling.solver.problem import Activity, Hold, Mode, Person, Problem
from jobs.scheduling.tasks import TaskKind

NEVER: Final = 1 << 40
WALKING_MM_S: Final = 1_200
"""An unhurried walk (common practice, no source)."""
FORKLIFT: Final = "forklift"
HEAVY_G: Final = 15_000
"""From here on it matters who has carried how much (common practice, no source)."""
_IN_THE_TRUCK: Final = frozenset({TaskKind.LOAD, TaskKind.FILL, TaskKind.CLOSE, TaskKind.TAKE_OUT})
_SECOND: Final[tuple[Part, ...]] = ("helper", "warehouse", "loader")
_QUICKER_BY_TWO: Final = frozenset({TaskKind.WRAP})

Seat = tuple[int, ...]


class Work(Protocol):
    """A task as far as the schedule looks at it; a FloorTask and a stored task both do."""

    @property
    def key(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def people(self) -> int: ...
    @property
    def weight_g(self) -> int: ...
    @property
    def needs(self) -> Sequence[str]: ...
    @property
    def tag(self) -> str | None: ...
    @property
    def vault(self) -> str | None: ...
    @property
    def lane(self) -> str | None: ...


@dataclass(frozen=True, slots=True)
class Worker:
    """Somebody on the crew: there from `from_s` until `until_s` but for the breaks.

    Only who has the skill "forklift" drives one, unless nobody has: then the warehouse staff.
    """

    key: str
    part: Part
    skills: frozenset[str] = frozenset()
    from_s: int = 0
    until_s: int | None = None
    breaks_s: tuple[tuple[int, int], ...] = ()
    place: str = "dock"


@dataclass(frozen=True, slots=True)
class Site:
    """Where things are, and how much room and how many forklifts there are; None: no limit.

    A lane or loose place that is not among `places` is at "lanes". `forklift_away_s` is from when
    until when the one forklift is elsewhere.
    """

    places: Mapping[str, tuple[int, int]] = field(
        default_factory=lambda: {"dock": (0, 0), "truck": (8_000, 0), "lanes": (0, 30_000)}
    )
    dock_floor_mm2: int | None = None
    vault_spots: int | None = None
    forklifts: int = 1
    forklift_away_s: tuple[tuple[int, int], ...] = ()

    def distance_mm(self, one: str, other: str) -> int:
        a, b = self.at(one), self.at(other)
        return round(math.dist(a, b))

    def at(self, place: str) -> tuple[int, int]:
        return self.places.get(place) or self.places.get("lanes", (0, 0))


@dataclass(frozen=True, slots=True)
class Begun:
    """Work under way: who does it and how long it will still take."""

    task: str
    people: tuple[str, ...]
    left_s: int


@dataclass(frozen=True, slots=True)
class FloorRequest:
    """A problem whose activities are `tasks` and whose people are `workers`, by index.

    A forklift that is elsewhere at times is one more of the problem's people, with a seat in all
    that it is needed for.
    """

    problem: Problem
    tasks: tuple[str, ...]
    kinds: tuple[str, ...]
    workers: tuple[str, ...]
    begun: Mapping[str, tuple[str, ...]]


def floor_request(
    tasks: Sequence[Work],
    crew: Sequence[Worker],
    *,
    site: Site | None = None,
    rates: WorkRates = DEFAULT_RATES,
    floor_mm2: Mapping[str, int] | None = None,
    pads: Mapping[str, int] | None = None,
    begun: Iterable[Begun] = (),
    frozen: Mapping[str, Sequence[str]] | None = None,
    carried_g: Mapping[str, int] | None = None,
) -> FloorRequest:
    """The tasks not yet done, in their sequence, and the crew as a problem.

    Needs that are no task of the list are met. `floor_mm2` is the dock floor of each piece by
    tag, `pads` how many each piece or fill takes by tag or task key. `frozen` are, for each
    worker, the tasks that stay with that worker; a task whose frozen people are too few is free.
    `carried_g` is what each has carried so far: heavy pieces go first to who has carried least.
    """
    maker = _Maker(
        tasks=tasks,
        crew=crew,
        site=site or Site(),
        rates=rates,
        pads=pads or {},
        begun={one.task: one for one in begun},
        frozen=frozen or {},
        carried_g=carried_g or {},
    )
    return FloorRequest(
        problem=Problem(
            activities=tuple(maker.activity(task) for task in tasks),
            capacities=maker.capacities(floor_mm2 or {}),
            holds=maker.holds(floor_mm2 or {}),
            people=(*(maker.person(worker) for worker in crew), *maker.forklift()),
            travel=maker.travel(),
        ),
        tasks=tuple(task.key for task in tasks),
        kinds=tuple(str(task.kind) for task in tasks),
        workers=tuple(worker.key for worker in crew),
        begun={one.task: one.people for one in maker.begun.values()},
    )


@dataclass(slots=True)
class _Maker:
    tasks: Sequence[Work]
    crew: Sequence[Worker]
    site: Site
    rates: WorkRates
    pads: Mapping[str, int]
    begun: Mapping[str, Begun]
    frozen: Mapping[str, Sequence[str]]
    carried_g: Mapping[str, int]
    index: dict[str, int] = field(init=False)
    places: dict[str, int] = field(init=False)
    drivers: Collection[str] = field(init=False)

    def __post_init__(self) -> None:
        self.index = {task.key: number for number, task in enumerate(self.tasks)}
        self.drivers = [worker.key for worker in self.crew if FORKLIFT in worker.skills]
        names = {worker.place for worker in self.crew}
        names |= {place for task in self.tasks for place in self._ways(task)}
        self.places = {name: number for number, name in enumerate(sorted(names | {"dock"}))}

    def activity(self, task: Work) -> Activity:
        here, there = self._ways(task)
        needs = tuple(sorted({self.index[need] for need in task.needs if need in self.index}))
        if task.key in self.begun:
            left_s = max(1, self.begun[task.key].left_s)
            return Activity((Mode(left_s, self._amounts(task)),), place_after=self.places[there])
        counts = [task.people]
        if task.kind in _QUICKER_BY_TWO and task.people == 1 and len(self.crew) > 1:
            counts.append(2)
        modes = tuple(self._mode(task, people, here, there) for people in counts)
        return Activity(
            modes=modes,
            needs=needs,
            place=self.places[here],
            place_after=self.places[there],
            team=self._kept_for(task, {len(mode.seats) for mode in modes}),
        )

    def _mode(self, task: Work, people: int, here: str, there: str) -> Mode:
        takes_s = duration_s(
            self.rates,
            kind=task.kind,
            people=people,
            weight_g=task.weight_g,
            distance_mm=self.site.distance_mm(here, there),
            pads=self.pads.get(task.key, self.pads.get(task.tag or "", 1)),
        )
        lead = self._lead_ranks(task)
        second = tuple(_SECOND.index(worker.part) for worker in self.crew)
        seats = (lead, *(second,) * (people - 1))
        if task.weight_g >= HEAVY_G:
            seats = tuple(self._least_laden(seat) for seat in seats)
        return Mode(takes_s, self._amounts(task), self._beside_forklift(task, seats))

    def _beside_forklift(self, task: Work, seats: tuple[Seat, ...]) -> tuple[Seat, ...]:
        if not self.site.forklift_away_s:
            return seats
        mine = tuple((*seat, -1) for seat in seats)
        of_forklift = (*(-1,) * len(self.crew), 0)
        return (*mine, of_forklift) if task.kind in BY_FORKLIFT else mine

    def forklift(self) -> tuple[Person, ...]:
        away = self.site.forklift_away_s
        return (Person(_joined(away), self.places["dock"]),) if away else ()

    def _least_laden(self, seat: Seat) -> Seat:
        """The same ranks, and among equals first who has carried least."""
        names = [worker.key for worker in self.crew]
        place = {name: k for k, name in enumerate(least_laden_first(names, self.carried_g))}
        return tuple(
            rank * len(names) + place[name] if rank >= 0 else -1
            for rank, name in zip(seat, names, strict=True)
        )

    def _lead_ranks(self, task: Work) -> tuple[int, ...]:
        if task.kind in BY_FORKLIFT and self.drivers:
            return tuple(0 if worker.key in self.drivers else -1 for worker in self.crew)
        parts = PARTS_FOR[task.kind]
        if not any(worker.part in parts for worker in self.crew):
            return (0,) * len(self.crew)
        return tuple(
            parts.index(worker.part) if worker.part in parts else -1 for worker in self.crew
        )

    def _kept_for(self, task: Work, sizes: Collection[int]) -> tuple[int, ...]:
        those = tuple(
            number
            for number, worker in enumerate(self.crew)
            if task.key in self.frozen.get(worker.key, ())
        )
        if those and self.site.forklift_away_s and task.kind in BY_FORKLIFT:
            those = (*those, len(self.crew))
        return those if len(those) in sizes else ()

    def _ways(self, task: Work) -> tuple[str, str]:
        """Where a task begins and where it leaves people."""
        lane = task.lane or "lanes"
        by_kind = {
            TaskKind.MOVE: (lane, lane),
            TaskKind.PULL: (lane, "dock"),
            TaskKind.STORE: ("dock", lane),
            TaskKind.STOW: ("dock", lane),
            TaskKind.FETCH: ("lanes", "dock"),
            TaskKind.CARRY: ("dock", "truck"),
            TaskKind.TAKE_OUT: ("truck", "dock"),
        }
        usual = ("truck", "truck") if task.kind in _IN_THE_TRUCK else ("dock", "dock")
        return by_kind.get(TaskKind(task.kind), usual)

    def _amounts(self, task: Work) -> tuple[int, ...]:
        return (int(task.kind in BY_FORKLIFT), 0, 0)

    def person(self, worker: Worker) -> Person:
        away = list(worker.breaks_s)
        if worker.from_s > 0:
            away.append((-NEVER, worker.from_s))
        if worker.until_s is not None:
            away.append((worker.until_s, NEVER))
        under_way = [one for one in self.begun.values() if worker.key in one.people]
        away += [(-NEVER, max(1, one.left_s)) for one in under_way]
        place = worker.place
        if under_way and under_way[0].task in self.index:
            place = self._ways(self.tasks[self.index[under_way[0].task]])[1]
        return Person(_joined(away), self.places[place])

    def capacities(self, floor_mm2: Mapping[str, int]) -> tuple[int, ...]:
        """Forklifts, dock floor, vault spots; what is taken already has room in any case."""
        taken = [0, 0, 0]
        largest = [1, 0, 1]
        for hold in self.holds(floor_mm2):
            taken[hold.resource] += hold.amount if hold.opens < 0 else 0
            largest[hold.resource] = max(largest[hold.resource], hold.amount)
        limits = (self.site.forklifts, self.site.dock_floor_mm2, self.site.vault_spots)
        return tuple(
            max(NEVER if limit is None else limit, taken[r], largest[r])
            for r, limit in enumerate(limits)
        )

    def holds(self, floor_mm2: Mapping[str, int]) -> tuple[Hold, ...]:
        found: list[Hold] = []
        to_floor, off_floor, pulled, cleared = self._ends_of_holds()
        for tag, closes in off_floor.items():
            if floor_mm2.get(tag):
                found.append(Hold(1, floor_mm2[tag], to_floor.get(tag, -1), closes))
        for vault, closes in cleared.items():
            found.append(Hold(2, 1, pulled.get(vault, -1), closes))
        return tuple(found)

    def _ends_of_holds(self) -> tuple[dict[str, int], ...]:
        """Floor is taken until a piece is in the truck or back in its vault."""
        to_floor: dict[str, int] = {}
        off_floor: dict[str, int] = {}
        pulled: dict[str, int] = {}
        cleared: dict[str, int] = {}
        for number, task in enumerate(self.tasks):
            if task.tag and task.kind in (TaskKind.UNPACK, TaskKind.FETCH, TaskKind.TAKE_OUT):
                to_floor.setdefault(task.tag, number)
            elif task.tag and task.kind in (TaskKind.CARRY, TaskKind.RETURN):
                off_floor[task.tag] = number
            elif task.vault and task.kind == TaskKind.PULL:
                pulled[task.vault] = number
            elif task.vault and task.kind in (TaskKind.CLEAR, TaskKind.STORE):
                cleared[task.vault] = number
        return to_floor, off_floor, pulled, cleared

    def travel(self) -> tuple[tuple[int, ...], ...]:
        return tuple(
            tuple(-(-self.site.distance_mm(a, b) // WALKING_MM_S) for b in self.places)
            for a in self.places
        )


def _joined(absences: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    joined: list[tuple[int, int]] = []
    for away, back in sorted(absences):
        if joined and away <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], back))
        elif back > away:
            joined.append((away, back))
    return tuple(joined)
