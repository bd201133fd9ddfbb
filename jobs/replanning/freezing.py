"""Which tasks stay as they are while the rest is planned anew.

Those are the tasks in somebody's hands, each one's next, the places of pieces whose carry has
begun, and all that must come before any of these. Where such a task waits for one that cannot be
done any more, it stays only if the piece does not rest on one that will not be there.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from loading.planner.plan import LoadPlan, Placement

NEXT_OF_EACH: Final = 3
"""So many tasks each one keeps, also out of reach of the network."""

_IN_THE_TRUCK: Final = ("load", "fill", "close", "take_out")


class Freezable(Protocol):
    """A task as far as this module looks at it."""

    @property
    def key(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def tag(self) -> str | None: ...
    @property
    def needs(self) -> Sequence[str]: ...
    @property
    def status(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Frozen:
    """Keys of tasks that will be done as planned, besides those that are done already."""

    keys: frozenset[str]


def frozen_tasks(
    tasks: Sequence[Freezable],
    plan: LoadPlan,
    *,
    people: int,
    next_of: Mapping[str, Sequence[str]] | None = None,
) -> Frozen:
    """The tasks to keep, of all tasks in the order of the plan.

    `next_of` gives each person's next tasks by a schedule; without one, the next tasks in order
    are kept, three for each of so many people.
    """
    by_key = {task.key: task for task in tasks}
    wanted = _with_needs(_seeds(tasks, people, next_of), by_key)
    dropped = {task.key for task in tasks if task.status == "withdrawn"}
    absent = {task.tag for task in tasks if task.key in dropped and task.tag}
    places = {placed.tag: placed for placed in plan.placements}
    settled: set[str] = set()
    kept: set[str] = set()
    for task in tasks:
        free = all(need in settled or need not in by_key for need in task.needs)
        if task.status == "done":
            settled.add(task.key)
        elif task.key in dropped:
            settled |= {task.key} if free else set()
        elif free and task.key in wanted and not _rests_on(task, absent, places):
            settled.add(task.key)
            kept.add(task.key)
    return Frozen(frozenset(kept))


def _seeds(
    tasks: Sequence[Freezable], people: int, next_of: Mapping[str, Sequence[str]] | None
) -> set[str]:
    in_hand = [task for task in tasks if task.status in ("assigned", "begun")]
    if next_of is None:
        open_tasks = [task for task in tasks if task.status in ("ready", "waiting")]
        following = [
            task.key for task in open_tasks[: max(0, NEXT_OF_EACH * people - len(in_hand))]
        ]
    else:
        following = [key for keys in next_of.values() for key in keys[:NEXT_OF_EACH]]
    seeds = {task.key for task in in_hand} | set(following)
    carried = {task.tag for task in in_hand if task.kind == "carry"}
    carried |= {task.tag for task in tasks if task.kind == "carry" and task.status == "done"}
    return seeds | {task.key for task in tasks if task.kind == "load" and task.tag in carried}


def _with_needs(seeds: Iterable[str], by_key: Mapping[str, Freezable]) -> set[str]:
    wanted: set[str] = set()
    left = [key for key in seeds if key in by_key]
    while left:
        key = left.pop()
        if key not in wanted:
            wanted.add(key)
            left += [need for need in by_key[key].needs if need in by_key]
    return wanted


def _rests_on(
    task: Freezable, absent: Collection[str | None], places: Mapping[str, Placement]
) -> bool:
    """Whether a piece's place is on or in one that will not be there."""
    place = places.get(task.tag or "")
    if task.kind not in _IN_THE_TRUCK or place is None:
        return False
    if place.inside in absent and place.inside is not None:
        return True
    return any(tag in places and _is_under(places[tag], place) for tag in absent if tag)


def _is_under(low: Placement, high: Placement) -> bool:
    apart = high.at_mm[2] - (low.at_mm[2] + low.size_mm[2])
    return -1 <= apart <= 100 and all(
        low.at_mm[axis] < high.at_mm[axis] + high.size_mm[axis]
        and high.at_mm[axis] < low.at_mm[axis] + low.size_mm[axis]
        for axis in (0, 1)
    )
