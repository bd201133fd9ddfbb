"""The people of a job's floor as its schedule looks at them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import cast

from jobs.folding.state import Presence
from jobs.models import CrewMember, Job
from jobs.scheduling.assigning import Part
from jobs.scheduling.floor import Worker
from jobs.selectors.shifts import Hours, hours_of, skills_of
from jobs.selectors.states import job_state

AT_LEAST_S = 60
"""Who is away longer than expected may be back any moment; so much later we count on it."""


@dataclass(frozen=True, slots=True)
class FloorMember:
    """Somebody of the crew; `is_there`: on the floor at this moment."""

    member: CrewMember
    worker: Worker
    is_there: bool


def member_key(member_id: int) -> str:
    """Fixed width, so that the order of the keys is the order in which people were put on."""
    return f"{member_id:012d}"


def floor_crew(*, job: Job, now: datetime) -> Sequence[FloorMember]:
    """Who is there, will come, or is on a break, by the shifts of the day and by what was told."""
    told = job_state(job=job)["people"]
    crew = [
        member
        for member in job.crew.order_by("id")
        if (member.leaves_at is None or member.leaves_at > now)
        and (member.active or _on_break(told, member) is not None)
    ]
    people = [member.user_id for member in crew]
    hours = hours_of(branch=job.branch, day=job.day, people=people)
    skills = skills_of(branch=job.branch, people=people)
    return [
        _member(one, hours.get(one.user_id, Hours()), skills.get(one.user_id), told, now)
        for one in crew
    ]


def _on_break(told: Mapping[str, Presence], member: CrewMember) -> datetime | None:
    """Since when somebody is on a break, if that was told last."""
    presence = told.get(str(member.pk))
    if presence is None or not presence["on_break"]:
        return None
    return datetime.fromtimestamp(presence["at_ms"] / 1000, UTC)


def _member(
    member: CrewMember,
    hours: Hours,
    skills: frozenset[str] | None,
    told: Mapping[str, Presence],
    now: datetime,
) -> FloorMember:
    def second(moment: datetime) -> int:
        return int((moment - now).total_seconds())

    comes = [moment for moment in (member.comes_at, hours.starts_at) if moment is not None]
    from_s = max((second(moment) for moment in comes), default=0)
    left_at = None if member.active else _on_break(told, member)
    if left_at is not None:
        from_s = max(from_s, AT_LEAST_S, second(hours.back_at(left_at)))
    goes = [moment for moment in (member.leaves_at, hours.ends_at) if moment and moment > now]
    worker = Worker(
        key=member_key(member.pk),
        part=cast(Part, member.part),
        skills=skills or frozenset(),
        from_s=max(0, from_s),
        until_s=min(map(second, goes), default=None),
        breaks_s=tuple(
            (second(begins), second(ends)) for begins, ends in hours.breaks if ends > now
        ),
    )
    come = member.comes_at is None or member.comes_at <= now
    return FloorMember(member, worker, member.active and come)
