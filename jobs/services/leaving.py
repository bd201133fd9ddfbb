"""What left with a load leaves storage when its job closes."""

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from inventory.services import items_leave
from jobs.custody.accounting import End, TagAccount
from jobs.folding.state import STORED, State
from jobs.models import Job
from jobs.replanning.goods import tag_now
from jobs.selectors.states import job_state
from loading.selectors import load_labels

_AWAY: Final = (End.LOADED, End.CUSTOMER, End.REPLACED)
"""What was put into another piece or taken apart went the way of what it became."""


def job_goods_leave(*, job: Job, accounts: Iterable[TagAccount], now: datetime) -> None:
    """Take what is on the truck, and what the customer took, out of storage.

    What stays keeps its vault, unless it came out of it: then it stands on the dock floor. What
    nobody found stays where it should be, until it is found.
    """
    state = job_state(job=job)
    away = {tag_now(state, account.tag) for account in accounts if account.end in _AWAY}
    outside = _out_of_storage(state) - away
    labels = load_labels(load=job.load)
    items_leave(
        items=[item for item, label in labels if label in away],
        out=[item for item, label in labels if label in outside],
        now=now,
    )


def _out_of_storage(state: State) -> frozenset[str]:
    """The pieces that came out and were not put back, by the tags that are on them now."""
    return frozenset(
        tag_now(state, tag) for tag, piece in state["pieces"].items() if piece["stage"] > STORED
    )
