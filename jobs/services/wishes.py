"""Tasks for what the loader wants though the plan leaves it behind on the dock floor."""

from collections.abc import Iterator, Sequence

from jobs.folding import State
from jobs.folding.state import ON_FLOOR, Piece, piece_key
from jobs.models import Job, Task
from jobs.scheduling import lift_advice
from loading.models import LoadPlan
from loading.selectors import plan_of


def wished_tasks_make(*, job: Job, state: State, tasks: Sequence[Task]) -> Sequence[Task]:
    """The job's standing tasks, and one more for each wanted piece on the dock floor that nobody
    is to carry. Call with the job's row locked, before the tasks' states are written."""
    plan = job.tasks_plan if state["wanted"] else None
    if plan is None:
        return tasks
    wished = [_task(job, plan, tasks, tag, piece) for tag, piece in _unbrought(state, tasks)]
    return [*tasks, *wished]


def _unbrought(state: State, tasks: Sequence[Task]) -> Iterator[tuple[str, Piece]]:
    for key in state["wanted"]:
        piece = state["pieces"].get(key)
        if piece is None or piece["stage"] != ON_FLOOR or key in state["gone"]:
            continue
        mine = (t for t in tasks if t.kind == Task.Kind.CARRY and piece_key(state, t.tag) == key)
        if all(task.turn <= piece["carried"] for task in mine):
            yield state["numbers"].get(key, key), piece


def _task(job: Job, plan: LoadPlan, tasks: Sequence[Task], tag: str, piece: Piece) -> Task:
    turn = piece["carried"] + 1
    request, _planned = plan_of(plan=plan)
    item = request.item(tag) if request.has_item(tag) else None
    lift = lift_advice(size_mm=item.size_mm, weight_g=item.weight_g) if item else None
    task, _ = Task.objects.update_or_create(
        job=job,
        key=f"carry:{tag}" if turn == 1 else f"carry#{turn}:{tag}",
        defaults={
            "plan": plan,
            "sequence": max((task.sequence for task in tasks), default=0) + 1,
            "kind": Task.Kind.CARRY,
            "tag": tag,
            "turn": turn,
            "people": lift.people if lift else 1,
            "weight_g": item.weight_g if item else 0,
            "needs_equipment": lift.needs_equipment if lift else False,
            "needs": [],
            "status": Task.Status.WAITING,
        },
    )
    return task
