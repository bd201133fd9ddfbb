"""Writing down what the job's state says of its tasks and of who has them."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Q
from django.db.models.functions import Greatest

from jobs.folding import State, task_outcomes
from jobs.models import Assignment, CrewMember, Job, Task
from jobs.scheduling import TaskState, task_states

_ENDINGS = {
    Task.Status.DONE: Assignment.Ending.DONE,
    Task.Status.WITHDRAWN: Assignment.Ending.WITHDRAWN,
    Task.Status.WAITING: Assignment.Ending.WITHDRAWN,
}


def standing_tasks(job: Job) -> Sequence[Task]:
    """The tasks that count: of the version that stands, and what was done or begun before it.

    A vault from outside is of no version: what was withdrawn of it is not given back to the job.
    """
    of_plan = Q(plan_id=job.tasks_plan_id) & ~Q(kind=Task.Kind.STOW)
    of_this_version = of_plan | ~Q(status=Task.Status.WITHDRAWN)
    return list(job.tasks.filter(of_this_version).order_by("sequence", "key"))


def task_states_write(*, job: Job, state: State, tasks: Sequence[Task], now: datetime) -> None:
    """Bring the status of the tasks, and the open assignments, to what the state says.

    Call with the job's row locked.
    """
    outcome = task_outcomes(state, tasks)
    loads = {task.key for task in tasks if task.kind == Task.Kind.LOAD}
    states = task_states(
        tasks,
        done=outcome.done,
        begun=outcome.begun,
        dropped=outcome.dropped,
        # A wanted piece does not wait on the dock for those that go in before it by the plan.
        waived=dict.fromkeys(outcome.wanted, loads),
    )
    held = _held_tasks(job)
    changed: defaultdict[str, list[UUID]] = defaultdict(list)
    for task in tasks:
        status = _status(states[task.key], task.id in held)
        if status != task.status:
            changed[status].append(task.id)
        if task.id in held and status in _ENDINGS:
            assignments_end(job=job, now=now, ending=_ENDINGS[Task.Status(status)], tasks=[task])
    for status, ids in changed.items():
        Task.objects.filter(id__in=ids).update(status=status)
    _wishes_write(tasks, outcome.wanted)


def members_write(*, job: Job, state: State, now: datetime, arrived: Collection[int] = ()) -> None:
    """Take people who left off the crew, and put those who came back on it; who has `arrived`
    is there, also before the time that was expected."""
    job.crew.filter(pk__in=arrived, comes_at__gt=now).update(comes_at=None)
    for member in job.crew.all():
        presence = state["people"].get(str(member.pk))
        if presence is not None and presence["on"] != member.active:
            CrewMember.objects.filter(pk=member.pk).update(active=presence["on"])
            if not presence["on"]:
                _hands_off(job, member, now)


def assignments_end(
    *, job: Job, now: datetime, ending: str, tasks: Collection[Task] | None = None
) -> None:
    """End the open assignments of a job, or those of some of its tasks."""
    opened = Assignment.objects.filter(task__job=job, ended_at__isnull=True)
    if tasks is not None:
        opened = opened.filter(task__in=tasks)
    opened.update(ended_at=Greatest("given_at", now), ending=ending)


def _wishes_write(tasks: Sequence[Task], wanted: Mapping[str, int]) -> None:
    """Note on the tasks which of them the loader waits for; seldom any, so each by itself."""
    for task in tasks:
        if task.wanted_tier != wanted.get(task.key):
            task.wanted_tier = wanted.get(task.key)
            task.save(update_fields=["wanted_tier"])


def _hands_off(job: Job, member: CrewMember, now: datetime) -> None:
    """Whoever leaves lets go of the task, and so do those who shared it: it is given out anew."""
    for task in Task.objects.filter(
        job=job, assignments__member=member, assignments__ended_at__isnull=True
    ):
        assignments_end(job=job, now=now, ending=Assignment.Ending.LEFT, tasks=[task])


def _held_tasks(job: Job) -> frozenset[UUID]:
    opened = Assignment.objects.filter(task__job=job, ended_at__isnull=True)
    return frozenset(opened.values_list("task_id", flat=True))


def _status(state: TaskState, held: bool) -> str:
    """A task is begun or assigned only while somebody has it; else it is to be given out."""
    if state is TaskState.READY and held:
        return Task.Status.ASSIGNED
    if state is TaskState.BEGUN and not held:
        return Task.Status.READY
    return Task.Status(state.value)
