"""Reading instances, one JSON object a line; every fault names its line and key."""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from jobs.scheduling.solver.allocating import Allocation
from jobs.scheduling.solver.problem import Activity, Mode, Problem, ProblemError

Read = TypeVar("Read")
MOST = 1_000_000_000
"""The largest number an instance may hold."""


@dataclass(frozen=True, slots=True)
class InstanceError(Exception):
    """What is wrong, on which line, under which key."""

    line: int
    key: str
    message: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.key}: {self.message}"


@dataclass(frozen=True, slots=True)
class Project:
    id: str
    problem: Problem


@dataclass(frozen=True, slots=True)
class Sharing:
    id: str
    problem: Allocation
    sense: int  # -1 where the numbers of the line are profits, to be made large


def read_lines(
    path: Path, parse: Callable[["Fields"], Read]
) -> tuple[list[Read], list[InstanceError]]:
    """All instances of a file and all faults, at most one a line. OSError if it cannot be read."""
    read: list[Read] = []
    faults: list[InstanceError] = []
    with path.open("rb") as lines:
        for number, raw in enumerate(lines, 1):
            if not raw.strip():
                continue
            try:
                read.append(parse(Fields.of(raw, number)))
            except InstanceError as fault:
                faults.append(fault)
    return read, faults


@dataclass(frozen=True, slots=True)
class Fields:
    """One line's object."""

    line: int
    values: dict[str, object]

    @classmethod
    def of(cls, raw: bytes, line: int) -> "Fields":
        try:
            values = json.loads(raw)
        except (ValueError, RecursionError) as error:
            raise InstanceError(line, "line", f"is no JSON ({error})") from error
        if not isinstance(values, dict):
            raise InstanceError(line, "line", "is no JSON object")
        return cls(line, values)

    def fault(self, key: str, message: str) -> InstanceError:
        return InstanceError(self.line, key, message)

    def id(self) -> str:
        value = self.values.get("id")
        if not isinstance(value, str) or not value:
            raise self.fault("id", "must be a text")
        return value

    def has(self, key: str) -> bool:
        return key in self.values

    def count(self, key: str) -> int:
        return self._whole(self.values.get(key), key, 1)

    def numbers(self, key: str, length: int) -> tuple[int, ...]:
        return self._row(self.values.get(key), key, length)

    def table(self, key: str, rows: int, columns: int | None) -> tuple[tuple[int, ...], ...]:
        value = self.values.get(key)
        if not isinstance(value, list) or len(value) != rows:
            raise self.fault(key, f"must be a list of {rows} lists")
        return tuple(self._row(row, f"{key}[{k}]", columns) for k, row in enumerate(value))

    def _row(self, value: object, key: str, length: int | None) -> tuple[int, ...]:
        if not isinstance(value, list) or (length is not None and len(value) != length):
            wanted = "a list" if length is None else f"a list of {length} whole numbers"
            raise self.fault(key, f"must be {wanted}")
        return tuple(self._whole(one, f"{key}[{k}]", 0) for k, one in enumerate(value))

    def _whole(self, value: object, key: str, least: int) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= MOST:
            raise self.fault(key, f"must be a whole number from {least} to {MOST}")
        return value


def parse_project(fields: Fields) -> Project:
    """`id`, `n`, `cap`, `dur`, `req` of each activity and resource, `succ` of each activity."""
    name, count = fields.id(), fields.count("n")
    capacities = fields.values.get("cap")
    resources = len(capacities) if isinstance(capacities, list) and capacities else 1
    caps = fields.numbers("cap", resources)
    durations = fields.numbers("dur", count)
    amounts = fields.table("req", count, resources)
    successors = fields.table("succ", count, None)
    needs = _needs(fields, successors)
    for number, row in enumerate(amounts):
        for resource, amount in enumerate(row):
            if amount > caps[resource]:
                raise fields.fault(f"req[{number}][{resource}]", f"is more than {caps[resource]}")
    activities = tuple(
        Activity((Mode(duration, row),), tuple(sorted(before)))
        for duration, row, before in zip(durations, amounts, needs, strict=True)
    )
    try:
        return Project(name, Problem(activities, caps))
    except ProblemError as error:
        raise fields.fault("succ", f"{error}") from error


def _needs(fields: Fields, successors: Sequence[Sequence[int]]) -> list[set[int]]:
    needs: list[set[int]] = [set() for _ in successors]
    for number, after in enumerate(successors):
        for place, follower in enumerate(after):
            if follower >= len(successors) or follower == number:
                raise fields.fault(f"succ[{number}][{place}]", "is no other activity")
            needs[follower].add(number)
    return needs


def parse_sharing(fields: Fields, *, minimise: bool) -> Sharing:
    """Either `profit_or_cost`, `weight` and `cap`, or the times `p` of jobs on machines."""
    name, agents, tasks = fields.id(), fields.count("m"), fields.count("n")
    if fields.has("p"):
        times = _times(fields, agents, tasks)
        return Sharing(name, Allocation(times, times), 1)
    sense = 1 if minimise else -1
    values = fields.table("profit_or_cost", agents, tasks)
    cost = tuple(tuple(sense * value for value in row) for row in values)
    load = fields.table("weight", agents, tasks)
    return Sharing(name, Allocation(cost, load, fields.numbers("cap", agents)), sense)


def _times(fields: Fields, agents: int, tasks: int) -> tuple[tuple[int, ...], ...]:
    """A time for each job on identical machines, or a row of times for each job."""
    value = fields.values["p"]
    if isinstance(value, list) and value and not isinstance(value[0], list):
        return (fields.numbers("p", tasks),) * agents
    by_job = fields.table("p", tasks, agents)
    return tuple(zip(*by_job, strict=True))
