"""Who is there on a day and what for, and how far a dock is."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from inventory.models import Branch, Role, User
from jobs.errors import NotOfBranch, ShiftInvalid
from jobs.models import CrewMember, DockWay, Job, Shift, ShiftBreak, Skill
from jobs.services.schedule_asking import schedule_ask
from loading.models import Dock

Times = tuple[datetime, datetime]


@transaction.atomic
def shift_put(
    *,
    branch: Branch,
    person: User,
    day: date,
    hours: Times,
    breaks: Sequence[Times] = (),
    now: datetime,
) -> Shift:
    """Say from when until when somebody is there on a day, with the breaks that are planned.

    What was said of the day before is replaced. Raises `NotOfBranch`, and `ShiftInvalid` where a
    time ends before it begins, or a break lies outside the hours or in another.
    """
    _demand_role(branch, person)
    _demand_sound(hours, breaks)
    shift, _ = Shift.objects.update_or_create(
        branch=branch,
        person=person,
        day=day,
        defaults={"starts_at": hours[0], "ends_at": hours[1]},
    )
    shift.breaks.all().delete()
    ShiftBreak.objects.bulk_create(
        ShiftBreak(shift=shift, starts_at=begins, ends_at=ends) for begins, ends in breaks
    )
    _schedules_ask(branch, person, day, now)
    return shift


@transaction.atomic
def shift_drop(*, branch: Branch, person: User, day: date, now: datetime) -> None:
    """Take back what was said of somebody's day; where nothing was, nothing happens."""
    Shift.objects.filter(branch=branch, person=person, day=day).delete()
    _schedules_ask(branch, person, day, now)


@transaction.atomic
def skills_put(*, branch: Branch, person: User, kinds: Sequence[str]) -> None:
    """Say all that somebody is certified for at a branch. Raises `NotOfBranch`."""
    _demand_role(branch, person)
    mine = Skill.objects.filter(branch=branch, person=person)
    mine.exclude(kind__in=kinds).delete()
    Skill.objects.bulk_create(
        [Skill(branch=branch, person=person, kind=kind) for kind in sorted(set(kinds))],
        ignore_conflicts=True,
    )


def dock_way_put(*, dock: Dock, minutes: int) -> DockWay:
    """Say how far a dock is from the branch."""
    way, _ = DockWay.objects.update_or_create(dock=dock, defaults={"minutes": minutes})
    return way


def _demand_role(branch: Branch, person: User) -> None:
    if not Role.objects.filter(user=person, branch=branch).exists():
        raise NotOfBranch(person.get_username(), branch.code)


def _demand_sound(hours: Times, breaks: Sequence[Times]) -> None:
    if any(ends <= begins for begins, ends in (hours, *breaks)):
        raise ShiftInvalid
    free_from = hours[0]
    for begins, ends in sorted(breaks):
        if begins < free_from or ends > hours[1]:
            raise ShiftInvalid
        free_from = ends


def _schedules_ask(branch: Branch, person: User, day: date, now: datetime) -> None:
    """The floors on which the person is that day are scheduled anew."""
    on = CrewMember.objects.filter(user=person, active=True).values("job")
    for job in Job.objects.filter(branch=branch, day=day, status__in=Job.AT_WORK, pk__in=on):
        schedule_ask(job=job, now=now)
