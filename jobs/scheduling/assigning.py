"""Handing ready tasks, in tier order, to the people who are free."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, Protocol

from jobs.scheduling.tasks import TaskKind

Part = Literal["loader", "warehouse", "helper"]

_DOCK_WORK: Final[tuple[Part, ...]] = ("helper", "warehouse")
_VAULT_WORK: Final[tuple[Part, ...]] = ("warehouse",)
_TRUCK_WORK: Final[tuple[Part, ...]] = ("loader",)

PARTS_FOR: Final[Mapping[str, tuple[Part, ...]]] = {
    TaskKind.MOVE: _VAULT_WORK,
    TaskKind.PULL: _VAULT_WORK,
    TaskKind.CLEAR: _VAULT_WORK,
    TaskKind.STORE: _VAULT_WORK,
    TaskKind.STOW: _VAULT_WORK,
    TaskKind.FETCH: ("warehouse", "helper"),
    TaskKind.RETURN: ("warehouse", "helper"),
    TaskKind.UNPACK: _DOCK_WORK,
    TaskKind.WRAP: _DOCK_WORK,
    TaskKind.CARRY: ("helper",),
    TaskKind.LOAD: _TRUCK_WORK,
    TaskKind.FILL: _TRUCK_WORK,
    TaskKind.CLOSE: _TRUCK_WORK,
    TaskKind.TAKE_OUT: _TRUCK_WORK,
}
"""Who does which work, the first part before the others (common practice, no source)."""

BY_FORKLIFT: Final = frozenset(
    {TaskKind.MOVE, TaskKind.PULL, TaskKind.CLEAR, TaskKind.STORE, TaskKind.STOW}
)

_SECOND_PAIR_OF_HANDS: Final[tuple[Part, ...]] = ("helper", "warehouse", "loader")


@dataclass(frozen=True, slots=True)
class Person:
    """Someone on the crew now. `busy` people have a task and get no other; only who `drives` gets
    work for the forklift."""

    key: str
    part: Part
    busy: bool = False
    drives: bool = True


class Handable(Protocol):
    """A ready task as far as this module looks at it."""

    @property
    def key(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def people(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Handout:
    """Who gets what now; and the tasks for which the whole crew is too small."""

    given: tuple[tuple[str, tuple[str, ...]], ...]
    crew_too_small: tuple[str, ...]


def hand_out(ready: Sequence[Handable], crew: Sequence[Person]) -> Handout:
    """Give the ready tasks, in the order of the list, to free people.

    A task is led by someone of the part it asks for, or by anybody where the crew has nobody
    of that part; the second pair of hands is a helper, failing that warehouse staff, failing
    that the loader. Whoever is free for a task for two waits for the other: what is needed
    next is not put off for what is needed later. Tasks for which the whole crew is too small
    are reported and not given. The same lists give the same answer, and a crew of which
    nobody is busy always gets the first task it is big enough for.
    """
    free = [person for person in crew if not person.busy]
    given: list[tuple[str, tuple[str, ...]]] = []
    crew_too_small: list[str] = []
    for task in ready:
        if len(crew) < task.people:
            crew_too_small.append(task.key)
            continue
        team = _team_for(task, free, crew)
        free = [person for person in free if person not in team]
        if len(team) == task.people:
            given.append((task.key, tuple(person.key for person in team)))
    return Handout(given=tuple(given), crew_too_small=tuple(crew_too_small))


def _team_for(task: Handable, free: Sequence[Person], crew: Sequence[Person]) -> tuple[Person, ...]:
    """The free people for a task; fewer than it takes means that these wait for the others."""
    parts = PARTS_FOR[task.kind]
    able = [person for person in crew if person.drives or task.kind not in BY_FORKLIFT]
    led_by_anybody = not any(person.part in parts for person in able)
    leads = [
        person for person in free if person in able and (led_by_anybody or person.part in parts)
    ]
    if not leads:
        return ()
    lead = min(leads, key=lambda person: _rank(person, parts))
    others = [person for person in crew if person is not lead]
    hands = _parts_with_enough(others, task.people - 1)
    seconds = [person for person in free if person is not lead and person.part in hands]
    seconds.sort(key=lambda person: _rank(person, hands))
    return (lead, *seconds[: task.people - 1])


def _parts_with_enough(others: Sequence[Person], wanted: int) -> tuple[Part, ...]:
    """The fewest parts, in order of preference, that have so many people."""
    for last in range(1, len(_SECOND_PAIR_OF_HANDS)):
        parts = _SECOND_PAIR_OF_HANDS[:last]
        if sum(person.part in parts for person in others) >= wanted:
            return parts
    return _SECOND_PAIR_OF_HANDS


def _rank(person: Person, parts: Sequence[Part]) -> tuple[int, str]:
    return (parts.index(person.part) if person.part in parts else len(parts), person.key)
