"""A day's shifts as schedules look at them: hours, planned breaks, skills."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from django.db.models import Exists, OuterRef

from inventory.models import Branch, User
from jobs.models import Shift, ShiftBreak, Skill

USUAL_BREAK: Final = timedelta(minutes=15)
"""So long somebody is away whose break no shift has planned (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Hours:
    """When somebody is there, and the breaks in it; nothing is known of who has no shift."""

    starts_at: datetime | None = None
    ends_at: datetime | None = None
    breaks: tuple[tuple[datetime, datetime], ...] = ()

    def back_at(self, left_at: datetime) -> datetime:
        """When somebody who left for a break then is expected back."""
        ends = [ends for begins, ends in self.breaks if begins <= left_at < ends]
        return ends[0] if ends else left_at + USUAL_BREAK


def hours_of(*, branch: Branch, day: date, people: Collection[int]) -> Mapping[int, Hours]:
    """The hours of people by their ids, as far as a shift says."""
    shifts = Shift.objects.filter(branch=branch, day=day, person__in=people)
    return {
        shift.person_id: Hours(
            shift.starts_at,
            shift.ends_at,
            tuple((one.starts_at, one.ends_at) for one in shift.breaks.all()),
        )
        for shift in shifts.prefetch_related("breaks")
    }


def shifts_of(*, branch: Branch, day: date) -> Sequence[Shift]:
    """A day's shifts as they were put down, with their people and breaks."""
    shifts = Shift.objects.filter(branch=branch, day=day)
    return list(shifts.select_related("person").prefetch_related("breaks"))


def drivers_of(*, branch: Branch) -> Sequence[User]:
    """Who is certified for the forklift at a branch."""
    certified = Skill.objects.filter(branch=branch, kind=Skill.Kind.FORKLIFT)
    return list(User.objects.filter(pk__in=certified.values("person")).order_by("username"))


def skills_of(*, branch: Branch, people: Collection[int]) -> Mapping[int, frozenset[str]]:
    """What people are certified for, by their ids."""
    found: defaultdict[int, set[str]] = defaultdict(set)
    for person, kind in Skill.objects.filter(branch=branch, person__in=people).values_list(
        "person", "kind"
    ):
        found[person].add(kind)
    return {person: frozenset(kinds) for person, kinds in found.items()}


def resting(*, branch_id: int, person: str, now: datetime) -> Exists:
    """Whether the person of a row, by the column's name, has a planned break at this moment."""
    breaks = ShiftBreak.objects.filter(
        shift__branch=branch_id, shift__person=OuterRef(person), starts_at__lte=now, ends_at__gt=now
    )
    return Exists(breaks)
