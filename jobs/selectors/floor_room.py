"""How much room a job's dock has for what is still to be done on it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.folding.state import ON_DOCK, ON_FLOOR, piece_key
from jobs.models import Job, Task
from jobs.selectors.states import job_state
from loading.planner.checker.dock import PART, floor_parts
from loading.selectors import plan_of

_OFF_THE_FLOOR = (Task.Kind.CARRY, Task.Kind.RETURN)
_OFF_THE_SPOT = (Task.Kind.CLEAR, Task.Kind.STORE)


@dataclass(frozen=True, slots=True)
class DockNow:
    """What the tasks may use: floor and vault spots, None where no plan says; and what each piece
    takes of the floor, by tag."""

    floor_mm2: int | None
    vault_spots: int | None
    takes_mm2: Mapping[str, int]


def dock_now(*, job: Job, tasks: Sequence[Task]) -> DockNow:
    """The dock of the plan that people work by, less what stands there and stays by these tasks.

    The plan's own order keeps to the dock already. What takes room besides is what came otherwise:
    a piece that has no place, a vault that nobody is to clear.
    """
    if job.tasks_plan is None:
        return DockNow(None, None, {})
    request, _plan = plan_of(plan=job.tasks_plan)
    state = job_state(job=job)
    takes_mm2 = {item.tag: -(-floor_parts(request, item) // PART) for item in request.items}
    goes = {piece_key(state, task.tag) for task in tasks if task.kind in _OFF_THE_FLOOR}
    lies_mm2 = sum(
        takes_mm2.get(state["numbers"].get(key, key), 0)
        for key, piece in state["pieces"].items()
        if piece["stage"] == ON_FLOOR and key not in goes and key not in state["gone"]
    )
    cleared = {task.vault for task in tasks if task.kind in _OFF_THE_SPOT}
    stands = sum(
        vault["stage"] == ON_DOCK and code not in cleared for code, vault in state["vaults"].items()
    )
    return DockNow(
        floor_mm2=max(0, request.dock.floor_mm2 - lies_mm2),
        vault_spots=max(0, request.dock.vault_spots - stands),
        takes_mm2=takes_mm2,
    )
