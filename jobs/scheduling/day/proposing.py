"""Changes of a plan that are worth a word with the dispatcher, with the gain in minutes.

Each proposal moves one person from one job's crew to another's, is tried on its own, and leaves
everybody else where they are; so it can be accepted, or refused, or pinned, without the others.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from jobs.scheduling.day.problem import day_problem
from jobs.scheduling.day.request import LOADER, DayPerson, DayPlan, DayRequest
from jobs.scheduling.solver import listing

Teams = dict[str, tuple[str, ...]]
LEAST_GAIN_S = 60


@dataclass(frozen=True, slots=True)
class Proposal:
    """Move a person between two jobs; what that gains, and why, in words.

    `gain_min` is by how much the last job ends earlier, or, where that stays the same, 0;
    `late_gain_min` by how much less the jobs run over their windows.
    """

    person: str
    from_job: str
    to_job: str
    gain_min: int
    late_gain_min: int
    reason: str


def propose(request: DayRequest, current: DayPlan, *, most: int = 5) -> tuple[Proposal, ...]:
    """The best changes of a plan, best first; pinned people are left where they are.

    A person who is on several jobs in turn leaves only the one named.
    """
    teams: Teams = {post.job: post.people for post in current.posts}
    before = _plan(request, teams)
    found = []
    wanting = _holding_up(before)
    for person, from_job, to_job in _moves(request, teams, wanting):
        changed = dict(teams)
        changed[from_job] = tuple(one for one in teams[from_job] if one != person)
        changed[to_job] = (*teams[to_job], person)
        after = _plan(request, changed)
        if len(after.unmanned) > len(before.unmanned):
            continue
        late_s = _late_s(before) - _late_s(after)
        gain_s = before.end_s - after.end_s
        if late_s < 0 or (gain_s < LEAST_GAIN_S and late_s < LEAST_GAIN_S):
            continue
        reason = _reason(before, after, from_job, to_job)
        found.append(Proposal(person, from_job, to_job, gain_s // 60, late_s // 60, reason))
    found.sort(key=lambda one: (-one.late_gain_min, -one.gain_min, one.person, one.to_job))
    return tuple(found[:most])


def _holding_up(plan: DayPlan) -> frozenset[str]:
    """The late jobs, the last one, and those that these wait for people from, in turn."""
    wanting = {job for job, _ in plan.late}
    wanting |= {post.job for post in plan.posts if post.end_s == plan.end_s}
    for post in sorted(plan.posts, key=lambda one: -one.start_s):
        later = [one for one in plan.posts if one.job in wanting and one.goes_s >= post.end_s]
        if any(set(one.people) & set(post.people) and one.goes_s == post.end_s for one in later):
            wanting.add(post.job)
    return frozenset(wanting)


def _moves(
    request: DayRequest, teams: Teams, wanting: frozenset[str]
) -> Iterator[tuple[str, str, str]]:
    """Moves to a job that holds the day up; both crews stay big and skilled enough."""
    jobs = {job.key: job for job in request.jobs}
    people = {person.key: person for person in request.people}
    for from_job, team in teams.items():
        for person in team:
            left = [people[one] for one in team if one != person]
            if person in request.pins or len(left) not in jobs[from_job].takes_s:
                continue
            needs_loader = jobs[from_job].needs_loader
            if not _skilled(left, needs_loader, jobs[from_job].skills):
                continue
            for to_job in sorted(wanting):
                others = teams[to_job]
                if person not in others and len(others) + 1 in jobs[to_job].takes_s:
                    yield person, from_job, to_job


def _skilled(team: list[DayPerson], needs_loader: bool, skills: tuple[str, ...]) -> bool:
    """Whether each skill has somebody of its own; tried greedily, the rarest skill first."""
    wanted = [*([LOADER] if needs_loader else []), *skills]
    wanted.sort(key=lambda skill: sum(skill in person.skills for person in team))
    left = list(team)
    for skill in wanted:
        holders = [person for person in left if skill in person.skills]
        if not holders:
            return False
        left.remove(min(holders, key=lambda person: len(person.skills)))
    return True


def _plan(request: DayRequest, teams: Mapping[str, tuple[str, ...]]) -> DayPlan:
    day = day_problem(request, teams=teams)
    return day.plan(listing.first_schedule(day.problem), 0)


def _late_s(plan: DayPlan) -> int:
    return sum(seconds for _, seconds in plan.late)


def _reason(before: DayPlan, after: DayPlan, from_job: str, to_job: str) -> str:
    return f"{_change(before, after, to_job)}; {_change(before, after, from_job)}"


def _change(before: DayPlan, after: DayPlan, job: str) -> str:
    then, now = before.post(job), after.post(job)
    if then is None or now is None:
        return f"{job} is not manned"
    minutes = abs(then.end_s - now.end_s) // 60
    if minutes == 0:
        return f"{job} ends at the same time"
    return f"{job} ends {minutes} min {'earlier' if now.end_s < then.end_s else 'later'}"
