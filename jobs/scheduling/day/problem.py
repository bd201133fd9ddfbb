"""A day as a problem for the search.

The shortest way to a place belongs to the work there, so that a bound counts it too; `travel`
holds only what a way takes longer than that.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from jobs.scheduling.day.request import LOADER, DayJob, DayPlan, DayRequest, Post
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem, Schedule

NEVER = 1 << 40


@dataclass(frozen=True, slots=True)
class DayProblem:
    """The problem; `nearest` is the shortest way to each job in seconds."""

    request: DayRequest
    problem: Problem
    nearest_s: tuple[int, ...]

    def plan(self, schedule: Schedule, bound_s: int) -> DayPlan:
        """The plan of a schedule."""
        posts, late, unmanned = [], [], []
        for job, start, nearest_s in zip(
            self.request.jobs, schedule.starts, self.nearest_s, strict=True
        ):
            if start is None:
                unmanned.append(job.key)
                continue
            team = tuple(self.request.people[person].key for person in start.team)
            posts.append(Post(job.key, team, start.goes, start.begins + nearest_s, start.ends))
            if start.ends > job.window_s[1]:
                late.append((job.key, start.ends - job.window_s[1]))
        posts.sort(key=lambda post: (post.start_s, post.job))
        return DayPlan(tuple(posts), schedule.end, bound_s, tuple(late), tuple(unmanned))


def day_problem(
    request: DayRequest, *, teams: Mapping[str, Sequence[str]] | None = None
) -> DayProblem:
    """The day as a problem; `teams` fixes who is on which job."""
    return _Maker(request, teams or {}).made()


@dataclass(slots=True)
class _Maker:
    request: DayRequest
    teams: Mapping[str, Sequence[str]]
    names: list[str] = field(init=False)
    index: dict[str, int] = field(init=False)
    nearest_s: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        request = self.request
        homes = {person.place for person in request.people}
        self.names = sorted(homes | {job.place for job in request.jobs})
        self.index = {person.key: number for number, person in enumerate(request.people)}
        self.nearest_s = {job.key: self._nearest(job, homes) for job in request.jobs}

    def _nearest(self, job: DayJob, homes: set[str]) -> int:
        others = homes | {other.place for other in self.request.jobs if other is not job}
        return min((self.request.way_s(place, job.place) for place in others), default=0)

    def made(self) -> DayProblem:
        request = self.request
        return DayProblem(
            request=request,
            problem=Problem(
                activities=tuple(self._activity(job) for job in request.jobs),
                people=tuple(
                    Person(
                        ((-NEVER, person.from_s), (person.until_s, NEVER)),
                        self.names.index(person.place),
                    )
                    for person in request.people
                ),
                travel=self._travel(),
            ),
            nearest_s=tuple(self.nearest_s[job.key] for job in request.jobs),
        )

    def _travel(self) -> tuple[tuple[int, ...], ...]:
        """What each way takes longer than the shortest to its end."""
        least = {
            name: min(
                (self.nearest_s[job.key] for job in self.request.jobs if job.place == name),
                default=0,
            )
            for name in self.names
        }
        return tuple(
            tuple(max(0, self.request.way_s(one, other) - least[other]) for other in self.names)
            for one in self.names
        )

    def _activity(self, job: DayJob) -> Activity:
        nearest_s = self.nearest_s[job.key]
        place = self.names.index(job.place)
        team = tuple(self.index[person] for person in self.teams.get(job.key, ()))
        pinned = [self.index[p] for p, where in self.request.pins.items() if where == job.key]
        # The largest crew first, which is what begins if nothing else is decided.
        sizes = [size for size in sorted(job.takes_s, reverse=True) if size >= len(pinned)]
        if team:
            sizes = [len(team)] if len(team) in job.takes_s else []
        sizes = sizes or [max(job.takes_s)]
        return Activity(
            modes=tuple(
                Mode(nearest_s + job.takes_s[size], (), self._seats(job, size, pinned))
                for size in sizes
            ),
            release=max(0, job.window_s[0] - nearest_s),
            due=job.window_s[1],
            place=place,
            place_after=place,
            team=team,
        )

    def _seats(self, job: DayJob, size: int, pinned: Sequence[int]) -> tuple[tuple[int, ...], ...]:
        """A seat for each pinned person, for each skill that is left, and for anybody."""
        people = self.request.people
        wanted = [*([LOADER] if job.needs_loader else []), *job.skills]
        seats = []
        for person in pinned:
            seats.append(tuple(0 if k == person else -1 for k in range(len(people))))
            held = next((skill for skill in wanted if skill in people[person].skills), None)
            if held is not None:
                wanted.remove(held)
        seats += [self._seat(skill) for skill in wanted[: max(0, size - len(seats))]]
        seats += [self._seat(None)] * (size - len(seats))
        return tuple(seats)

    def _seat(self, skill: str | None) -> tuple[int, ...]:
        return tuple(
            self._rank(number, skill) if skill is None or skill in person.skills else -1
            for number, person in enumerate(self.request.people)
        )

    def _rank(self, number: int, skill: str | None) -> int:
        """Who is pinned elsewhere waits for that; others by how many skills they would waste."""
        person = self.request.people[number]
        if person.key in self.request.pins:
            return 50
        return len(person.skills - {skill})
