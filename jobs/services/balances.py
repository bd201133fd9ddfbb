"""A look at a day: which changes of the crews would let its jobs end earlier."""

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Final

from jobs.models import DayBalance
from jobs.scheduling.day import DayPlan, DayRequest
from jobs.selectors.balances import day_to_balance
from jobs.selectors.proposals import ProposalRow
from jobs.services.making import claim, finish, keep, waiting
from jobs.services.sending import balance_send_now

Propose = Callable[[DayRequest, DayPlan], Sequence[ProposalRow]]
FEWEST_JOBS: Final = 2


def balance_make(
    *, branch_id: int, day: date, worker: str, now: datetime, propose: Propose | None = None
) -> Sequence[ProposalRow] | None:
    """Look at a day and store what is worth a word; None when nothing is wanted of this worker.

    Safe to start twice and to kill, as `schedule_make` is.
    """
    that_day = DayBalance.objects.filter(branch=branch_id, day=day)
    row = claim(that_day, worker=worker, now=now)
    if row is None:
        return None
    look = day_to_balance(branch=row.branch, day=day, now=now)
    found: Sequence[ProposalRow] = ()
    if len(look.request.jobs) >= FEWEST_JOBS:
        found = (propose or _propose)(look.request, look.current)
    keep(that_day, row, proposals=list(found), made_at=now)
    if finish(that_day, row):
        balance_send_now(branch_id, day)
    return found


def balances_resend(*, now: datetime) -> list[tuple[int, date]]:
    """Send again what waits though its message must be lost, or whose worker is gone."""
    due = waiting(DayBalance.objects.all(), now=now).order_by("asked_at")
    days = list(due.values_list("branch_id", "day"))
    for branch_id, day in days:
        balance_send_now(branch_id, day)
    return days


def _propose(request: DayRequest, current: DayPlan) -> Sequence[ProposalRow]:
    """The search's own proposals; it brings compiled code and is loaded where it is used first."""
    from jobs.scheduling.day.proposing import propose

    return [
        ProposalRow(
            person=int(one.person),
            from_job=one.from_job,
            to_job=one.to_job,
            gain_min=one.gain_min,
            late_gain_min=one.late_gain_min,
        )
        for one in propose(request, current)
    ]
