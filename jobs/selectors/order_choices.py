"""The order of the pulls that a job's load is to keep, and who chose it."""

from dataclasses import dataclass
from datetime import datetime

from jobs.models import Job, OrderChoice


@dataclass(frozen=True, slots=True)
class StandingOrder:
    """`codes` is None while the planner chooses. Nobody is named for an order that came with the
    load, or was never touched."""

    codes: tuple[str, ...] | None
    by: str = ""
    at: datetime | None = None


def job_order(*, job: Job) -> StandingOrder:
    """The order that plans of a job keep to from now on."""
    order = job.load.pull_order
    newest = OrderChoice.objects.filter(job=job).select_related("chosen_by").first()
    codes = None if order is None else tuple(order)
    if newest is None:
        return StandingOrder(codes)
    who = newest.chosen_by
    name = (who.get_full_name() or who.username) if who else ""
    return StandingOrder(codes, name, newest.chosen_at)
