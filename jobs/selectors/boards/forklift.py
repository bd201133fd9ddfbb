"""The forklift's day: one list for all docks of a warehouse, what comes in, what is done early."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from inventory.models import Branch, VaultArrival
from inventory.permissions import branches_where, user_may
from inventory.selectors import arrival_list
from jobs.models import Job
from jobs.selectors.access import Person
from jobs.selectors.lanes import (
    BranchDay,
    branch_day,
    in_turn,
    jobs_accepted,
    plans_of,
    with_begins,
    work_done,
    work_to_do,
)
from loading.planner.dockside import Call
from loading.planner.pulls import Yard
from loading.selectors import (
    ForkliftDay,
    PullLine,
    SharedLanes,
    forklift_day,
    line_of,
    shared_lanes,
)

LOOKS_AHEAD = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class ForkliftLine:
    """A call with its place on the pull sheet; a vault from outside has an `arrival` instead, and
    the `lane` that it goes into (None: each that has room would bar something)."""

    call: Call
    load: str
    begins_at: datetime | None = None
    late_minutes: int = 0
    line: PullLine | None = None
    arrival: VaultArrival | None = None
    lane: str | None = None


@dataclass(frozen=True, slots=True)
class ForkliftBoard:
    """`evening` is what to do on this day for `next_day`, which saves it `saved_minutes`.

    `yard` are the lanes as they stand now; its own are the vaults that the day's loads pull.
    """

    branch: Branch
    lines: Sequence[ForkliftLine]
    latest_minutes: int
    shared: SharedLanes | None
    next_day: date | None
    evening: Sequence[ForkliftLine]
    saved_minutes: int
    yard: Yard
    may_write: bool

    @property
    def lanes(self) -> Sequence[str]:
        return [lane.name for lane in self.yard.lanes]


def forklift_boards(*, user: Person, day: date) -> Sequence[ForkliftBoard]:
    """One for each branch where the person may read jobs and something is to be done."""
    branches = branches_where(user=user, action="job.read").order_by("code")
    return [_board(user, branch, day) for branch in branches]


def _board(user: Person, branch: Branch, day: date) -> ForkliftBoard:
    found = branch_day(branch=branch, day=day)
    pulled = [call.vault for call in _calls(found.forklift) if call.does == "pull"]
    next_day, evening = _evening(branch, day)
    return ForkliftBoard(
        branch=branch,
        lines=_lines(found),
        latest_minutes=found.forklift.latest_minutes if found.forklift else 0,
        shared=found.shared,
        next_day=next_day,
        evening=evening[0],
        saved_minutes=evening[1],
        yard=replace(found.yard, own=tuple(pulled)),
        may_write=user_may(user=user, branch=branch, action="inventory.write"),
    )


def _calls(today: ForkliftDay | None) -> list[Call]:
    return [one.call for one in today.served] if today else []


def _lines(found: BranchDay) -> list[ForkliftLine]:
    today = found.forklift
    if today is None:
        return []
    return [
        ForkliftLine(
            call=one.call,
            load=one.call.name.rpartition(":")[0],
            begins_at=today.begins(one),
            late_minutes=round(one.late_s / 60),
            line=line_of(one.call, found.plans),
            arrival=found.arrivals.get(one.call.name),
            lane=found.goes_to.get(one.call.name),
        )
        for one in today.served
    ]


def _evening(branch: Branch, day: date) -> tuple[date | None, tuple[list[ForkliftLine], int]]:
    """The next day with accepted jobs, and what to do for it the evening before."""
    ahead = Job.objects.filter(
        branch=branch,
        day__gt=day,
        day__lte=day + LOOKS_AHEAD,
        plan__isnull=False,
        status=Job.Status.ACCEPTED,
    ).order_by("day")
    next_day = ahead.values_list("day", flat=True).first()
    if next_day is None:
        return None, ([], 0)
    jobs = jobs_accepted(branch=branch, day=next_day)
    plans = plans_of(jobs)
    found = forklift_day(
        plans=with_begins(jobs),
        done=work_done(jobs),
        to_do=work_to_do(jobs),
        shared=shared_lanes(plans=plans, before=in_turn(jobs)),
    )
    lines = [
        ForkliftLine(call=call, load=call.name.rpartition(":")[0], line=line_of(call, plans))
        for call in (found.evening if found else ())
    ]
    return next_day, (lines, found.saved_minutes if found else 0)


def arrival_expected(*, branch: Branch, arrival_id: UUID) -> VaultArrival | None:
    """A vault that is expected at the branch and not stowed yet."""
    return arrival_list(branches=Branch.objects.filter(pk=branch.pk)).filter(pk=arrival_id).first()
