"""Jobs, people and the plan of a day. Times are seconds of the day, whatever its origin."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

LOADER: Final = "loader"


class DayError(ValueError):
    """The day makes no sense; the message names the job or the person."""


@dataclass(frozen=True, slots=True)
class DayJob:
    """A job that so many people do in so many seconds, within its window.

    `takes_s` is how long it takes for each size of crew, and only for those that may do it. One
    of the crew is a loader unless `needs_loader` is false; `skills` are others that one each of
    the crew must have.
    """

    key: str
    place: str
    takes_s: Mapping[int, int]
    window_s: tuple[int, int]
    needs_loader: bool = True
    skills: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DayPerson:
    """Somebody who is at `place` from `from_s` until `until_s` at the latest."""

    key: str
    skills: frozenset[str]
    from_s: int
    until_s: int
    place: str = "branch"


@dataclass(frozen=True, slots=True)
class DayRequest:
    """The jobs still to be begun, the people, the ways between places, and what is fixed.

    `travel_s` holds seconds between two places, in either order; missing ones are 0. `pins` are
    the job that a person must be on. People on a job that has begun come in with `from_s` and
    `place` of its end.
    """

    jobs: tuple[DayJob, ...]
    people: tuple[DayPerson, ...]
    travel_s: Mapping[tuple[str, str], int] = field(default_factory=dict)
    pins: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        _check(self)

    def way_s(self, one: str, other: str) -> int:
        if one == other:
            return 0
        return self.travel_s.get((one, other), self.travel_s.get((other, one), 0))


@dataclass(frozen=True, slots=True)
class Post:
    """Who is on a job, when the first sets off, when it begins and ends."""

    job: str
    people: tuple[str, ...]
    goes_s: int
    start_s: int
    end_s: int


@dataclass(frozen=True, slots=True)
class DayPlan:
    """A post for each job by the time it begins; the last end, and a bound none can end before.

    `late` are jobs that end after their window, with how many seconds; `unmanned` those for
    which there are no people.
    """

    posts: tuple[Post, ...]
    end_s: int
    bound_s: int
    late: tuple[tuple[str, int], ...] = ()
    unmanned: tuple[str, ...] = ()

    def post(self, job: str) -> Post | None:
        return next((post for post in self.posts if post.job == job), None)


def takes_by_people(work_s: int, *, minimum: int, most: int, lost_pct: int = 5) -> dict[int, int]:
    """Seconds by size of crew for so many person-seconds of work.

    Every person beyond the minimum is in the others' way a little: `lost_pct` of one person's
    work (common practice, no source; measured days give the company's own).
    """
    takes = {}
    for people in range(minimum, most + 1):
        worth = people * 100 - (people - minimum) * lost_pct
        takes[people] = -(-work_s * 100 // worth)
    return takes


def _check(request: DayRequest) -> None:
    for those in (request.jobs, request.people):
        for key, count in Counter(one.key for one in those).items():
            if count > 1:
                raise DayError(f"{key} is there {count} times")
    for job in request.jobs:
        _check_job(job)
    jobs, people = ({one.key for one in those} for those in (request.jobs, request.people))
    for person, pinned in request.pins.items():
        if person not in people:
            raise DayError(f"{person} is pinned but is not among the people")
        if pinned not in jobs:
            raise DayError(f"{person} is pinned to {pinned}, which is not among the jobs")


def _check_job(job: DayJob) -> None:
    if not job.takes_s or any(size < 1 or s < 0 for size, s in job.takes_s.items()):
        raise DayError(f"job {job.key}: no size of crew does it")
    if job.window_s[0] > job.window_s[1]:
        raise DayError(f"job {job.key}: its window ends before it begins")
    if min(job.takes_s) < int(job.needs_loader) + len(job.skills):
        raise DayError(f"job {job.key}: a crew is smaller than the skills it needs")
