"""What may be done next, from what has been done."""

from collections.abc import Collection, Mapping, Sequence
from enum import StrEnum
from typing import Protocol


class TaskState(StrEnum):
    WAITING = "waiting"
    READY = "ready"
    BEGUN = "begun"
    DONE = "done"
    WITHDRAWN = "withdrawn"


class Precedence(Protocol):
    """A task as far as this module looks at it."""

    @property
    def key(self) -> str: ...
    @property
    def needs(self) -> Sequence[str]: ...


def task_states(
    tasks: Sequence[Precedence],
    *,
    done: Collection[str],
    begun: Collection[str] = (),
    dropped: Collection[str] = (),
    waived: Mapping[str, Collection[str]] | None = None,
) -> dict[str, TaskState]:
    """The state of each task, in the order given; a task's needs stand before it in the list.

    What was seen done is done, in whatever order it happened. A dropped task (its piece is
    missing, say) is withdrawn, and whoever waited for it then waits for what it waited for:
    dropping the third piece does not let the fourth go before the second. Needs that are no
    task of the list are met, and so are those that are `waived` for a task.
    """
    states: dict[str, TaskState] = {}
    settled: dict[str, bool] = {}
    for task in tasks:
        met = waived.get(task.key, ()) if waived else ()
        free = all(settled.get(need, True) or need in met for need in task.needs)
        if task.key in done:
            state = TaskState.DONE
        elif task.key in dropped:
            state = TaskState.WITHDRAWN
        elif task.key in begun:
            state = TaskState.BEGUN
        else:
            state = TaskState.READY if free else TaskState.WAITING
        states[task.key] = state
        settled[task.key] = state is TaskState.DONE or (state is TaskState.WITHDRAWN and free)
    return states
