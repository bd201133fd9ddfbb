"""Who did, does and will do what on a job, person by person."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.models import Assignment, CrewMember, Job, Task
from jobs.selectors.floor_crew import member_key
from jobs.selectors.floors import StoredSchedule
from jobs.selectors.job_work import JobWork, job_work

DONE, NOW, PLANNED = "done", "now", "planned"


@dataclass(frozen=True, slots=True)
class Bar:
    """A task of somebody, from `begin_s` to `end_s` after the schedule's `starts_at`.

    `state` is done, now or planned. What is done was in hand that long; what is now ends when it is
    expected to, at the earliest now. `with_others` says that two or more share it.
    """

    task: Task
    begin_s: int
    end_s: int
    state: str
    with_others: bool


@dataclass(frozen=True, slots=True)
class PersonBars:
    """One of the crew, and the bars in the order of their times. They do not overlap."""

    member: CrewMember
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class JobSchedule:
    """The bars of a job's crew. All times are whole seconds after `starts_at`.

    The window may begin before 0. `end_s` is the last end of all bars, `bound_s` before which no
    schedule could end (None while none was looked for), `made_at` when the planned part was made
    (None: there is no schedule yet, and so no planned bars). `left_over` are open tasks that
    nobody of the crew can do.
    """

    job: Job
    starts_at: datetime
    made_at: datetime | None
    now_s: int
    window_begin_s: int
    window_end_s: int
    end_s: int
    bound_s: int | None
    people: tuple[PersonBars, ...]
    left_over: tuple[Task, ...]


def job_schedule(*, job: Job, now: datetime, work: JobWork | None = None) -> JobSchedule:
    """Bars for each of the crew, who has left included as long as there is something to show.

    `work` is the job's, where it is at hand.
    """
    at_hand = work or job_work(job=job)
    begins = [job.window_start, *(one.given_at for one in at_hand.given[:1])]
    chart = _Chart(min(begins), now, at_hand.stored)
    bars = chart.of_assignments(at_hand.given)
    for key, planned in chart.planned(at_hand.tasks, bars).items():
        bars[key] += planned
    people = [
        PersonBars(member, tuple(sorted(bars[member_key(member.pk)], key=lambda b: b.begin_s)))
        for member in at_hand.members
        if member.active or bars[member_key(member.pk)]
    ]
    return chart.drawn(job, tuple(people), at_hand.tasks)


@dataclass(frozen=True, slots=True)
class _Chart:
    starts_at: datetime
    now: datetime
    stored: StoredSchedule | None

    def second(self, moment: datetime) -> int:
        return int((moment - self.starts_at).total_seconds())

    @property
    def now_s(self) -> int:
        return self.second(self.now)

    def of_assignments(self, given: Sequence[Assignment]) -> defaultdict[str, list[Bar]]:
        """What was and what is in hand; tasks that were taken away unfinished are not shown."""
        ends = self._expected()
        bars: defaultdict[str, list[Bar]] = defaultdict(list)
        for one in given:
            begin_s, shared = self.second(one.given_at), one.task.people > 1
            if one.ended_at is None:
                end_s = max(self.now_s, ends.get(one.task.key, 0), begin_s + 1)
                bar = Bar(one.task, begin_s, end_s, NOW, shared)
            elif one.ending == Assignment.Ending.DONE:
                end_s = max(self.second(one.ended_at), begin_s + 1)
                bar = Bar(one.task, begin_s, end_s, DONE, shared)
            else:
                continue
            bars[member_key(one.member_id)].append(bar)
        return bars

    def planned(
        self, tasks: Mapping[str, Task], former: Mapping[str, Sequence[Bar]]
    ) -> dict[str, list[Bar]]:
        """What is to be done, as the schedule has it, all of it put off where it is overdue."""
        bars: defaultdict[str, list[Bar]] = defaultdict(list)
        late_s = self._late_s(tasks, former)
        for task, people, start_s, end_s in self._entries(tasks):
            for person in people:
                bar = Bar(task, start_s + late_s, end_s + late_s, PLANNED, len(people) > 1)
                bars[person].append(bar)
        return bars

    def drawn(
        self, job: Job, people: tuple[PersonBars, ...], tasks: Mapping[str, Task]
    ) -> JobSchedule:
        ends = [bar.end_s for person in people for bar in person.bars]
        left = self.stored.schedule.left_over if self.stored else ()
        bound_s = None
        if self.stored and self.stored.schedule.bound_s:
            bound_s = self.second(self.stored.starts_at) + self.stored.schedule.bound_s
        return JobSchedule(
            job=job,
            starts_at=self.starts_at,
            made_at=self.stored.made_at if self.stored else None,
            now_s=self.now_s,
            window_begin_s=self.second(job.window_start),
            window_end_s=self.second(job.window_end),
            end_s=max(ends, default=0),
            bound_s=bound_s,
            people=people,
            left_over=tuple(tasks[key] for key in left if key in tasks),
        )

    def _entries(
        self, tasks: Mapping[str, Task]
    ) -> Iterator[tuple[Task, tuple[str, ...], int, int]]:
        """Entries whose tasks nobody has yet, in seconds of the chart."""
        if self.stored is None:
            return
        shift_s = self.second(self.stored.starts_at)
        for entry in self.stored.schedule.entries:
            task = tasks.get(entry.task)
            if task is not None and task.status in (Task.Status.WAITING, Task.Status.READY):
                yield task, entry.people, entry.start_s + shift_s, entry.end_s + shift_s

    def _expected(self) -> dict[str, int]:
        if self.stored is None:
            return {}
        shift_s = self.second(self.stored.starts_at)
        return {entry.task: entry.end_s + shift_s for entry in self.stored.schedule.entries}

    def _late_s(self, tasks: Mapping[str, Task], former: Mapping[str, Sequence[Bar]]) -> int:
        """By how much what comes first is late: it has not begun by now, or people are not free."""
        late_s = 0
        for _task, people, start_s, _end_s in self._entries(tasks):
            free_s = [bar.end_s for person in people for bar in former.get(person, ())]
            late_s = max(late_s, max(free_s, default=self.now_s) - start_s, self.now_s - start_s)
        return late_s
