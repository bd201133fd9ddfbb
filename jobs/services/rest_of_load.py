"""What is asked of the planner when a load has been begun: the rest, from what has been done."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from jobs.models import Job, JobState, Task
from jobs.replanning import frozen_tasks, order_now, request_now, with_returned
from jobs.selectors.floors import floor_schedule, next_tasks
from jobs.selectors.states import state_read
from jobs.services.task_states import standing_tasks
from loading.models import LoadPlan
from loading.planner.pulls import lanes_as_they_stand
from loading.planner.request import LoadRequest, request_document
from loading.selectors import plan_of, warehouse_yard
from loading.selectors.documents import places_kept, truck_document

DOCK_WORK: Final = ("move", "pull", "unpack", "fetch", "clear", "store", "return", "wrap")
"""Work that is of use whatever the new plan says."""


@dataclass(frozen=True, slots=True)
class RestOfLoad:
    """The request (contract form), the keys of the tasks that it counts as done though they are
    only in hand or next, and the last event that it knows of."""

    document: dict[str, Any]
    frozen: tuple[str, ...]
    after_sequence: int


def rest_of_load(*, job: Job, former: LoadPlan) -> RestOfLoad:
    """The rest of a job's load after `former`, the version that people work by.

    Call with the job's row locked.
    """
    stored = JobState.objects.filter(job=job).first()
    state = state_read(job=job, stored=stored)
    request, plan = plan_of(plan=former)
    request = with_returned(request, state, _begun_with(job, former))
    tasks = standing_tasks(job)
    people = job.crew.filter(active=True).count()
    frozen = frozen_tasks(tasks, plan, people=people, next_of=_next_of_each(job, tasks)).keys
    another_truck = former.request_document["truck"]["name"] != job.load.truck.name
    if another_truck:
        frozen = frozenset(t.key for t in tasks if t.key in frozen and t.kind in DOCK_WORK)
    begun = request_now(request, plan, state, frozen=frozen)
    done = request_now(request, plan, state)
    begun = replace(begun, pull_order=order_now(begun, job.load.pull_order))
    document = request_document(_in_lanes_of_now(begun, done, job))
    truck = truck_document(job.load.truck) if another_truck else former.request_document["truck"]
    sequence = stored.sequence if stored else 0
    document = places_kept(document={**document, "truck": truck}, former=former.request_document)
    return RestOfLoad(document, tuple(sorted(frozen)), sequence)


def _begun_with(job: Job, former: LoadPlan) -> LoadRequest:
    """The request of the oldest plan that a task still names.

    It has every piece that was dropped since: the tasks of such a piece were withdrawn with the
    plan that had it last.
    """
    tasks = Task.objects.filter(job=job).select_related("plan").order_by("plan__version")
    first = tasks.first()
    return plan_of(plan=first.plan if first else former)[0]


def _in_lanes_of_now(begun: LoadRequest, done: LoadRequest, job: Job) -> LoadRequest:
    """Other jobs of the day may have shifted vaults in the same lanes, or taken some.

    `begun` counts as done what will be done as planned; the lanes of now know only what was.
    """
    steps, known = (one.progress.steps if one.progress else () for one in (begun, done))
    return lanes_as_they_stand(begun, warehouse_yard(branch=job.branch).after(steps[len(known) :]))


def _next_of_each(job: Job, tasks: Sequence[Task]) -> dict[str, tuple[str, ...]] | None:
    """What each one does next by the floor's schedule, which phones keep; None without one."""
    stored = floor_schedule(job=job)
    if stored is None:
        return None
    to_do = {task.key: task for task in tasks if task.status in Task.OPEN}
    members = list(job.crew.filter(active=True))
    following = next_tasks(schedule=stored.schedule, members=members, open_keys=to_do)
    # A schedule of tasks that all have gone since says nothing.
    return following if any(following.values()) else None
