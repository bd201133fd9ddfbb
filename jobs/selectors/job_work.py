"""The work of jobs as a day over time looks at it: who had and has what, and what is left."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from jobs.models import Assignment, CrewMember, FloorPlan, Job, Task
from jobs.selectors.floors import StoredSchedule, stored_schedule

_SHOWN = ("job", "key", "kind", "tag", "vault", "status", "people", "weight_g")
"""What a bar tells of its task, and what it takes; there are hundreds of tasks."""


@dataclass(frozen=True, slots=True)
class JobWork:
    """Assignments in the order in which they were given, open tasks by their keys, everybody of
    the crew, and the schedule that was made last."""

    given: Sequence[Assignment]
    tasks: Mapping[str, Task]
    members: Sequence[CrewMember]
    stored: StoredSchedule | None

    def there(self, now: datetime) -> int:
        """How many are on the floor, as `crew_there` has it."""
        return sum(_is_there(member, now) for member in self.members)


def job_work(*, job: Job) -> JobWork:
    return jobs_work(jobs=[job])[job.pk]


def jobs_work(*, jobs: Collection[Job]) -> dict[UUID, JobWork]:
    """The work of each job by the job's key, in four queries however many jobs there are."""
    keys = [job.pk for job in jobs]
    given: defaultdict[UUID, list[Assignment]] = defaultdict(list)
    for assignment in _given(keys):
        given[assignment.task.job_id].append(assignment)
    tasks: defaultdict[UUID, dict[str, Task]] = defaultdict(dict)
    for task in Task.objects.filter(job__in=keys, status__in=Task.OPEN).only(*_SHOWN):
        tasks[task.job_id][task.key] = task
    members: defaultdict[UUID, list[CrewMember]] = defaultdict(list)
    crews = CrewMember.objects.filter(job__in=keys)
    for member in crews.select_related("user").order_by("id"):
        members[member.job_id].append(member)
    stored = {
        row.job_id: stored_schedule(row)
        for row in FloorPlan.objects.filter(job__in=keys).defer("document")
    }
    return {key: JobWork(given[key], tasks[key], members[key], stored.get(key)) for key in keys}


def _given(keys: Collection[UUID]) -> Sequence[Assignment]:
    shown = ("task_id", "member_id", "given_at", "ended_at", "ending")
    return list(
        Assignment.objects.filter(task__job__in=keys)
        .select_related("task")
        .only(*shown, *(f"task__{name}" for name in _SHOWN))
        .order_by("given_at", "id")
    )


def _is_there(member: CrewMember, now: datetime) -> bool:
    has_come = member.comes_at is None or member.comes_at <= now
    stays = member.leaves_at is None or member.leaves_at > now
    return member.active and has_come and stays
