"""What left with a load leaves storage when its job closes."""

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from inventory.services import items_leave
from jobs.custody.accounting import End, TagAccount
from jobs.models import Job
from loading.selectors import load_labels

_AWAY: Final = (End.LOADED, End.CUSTOMER, End.REPLACED)
"""What was put into another piece or taken apart went the way of what it became."""


def job_goods_leave(*, job: Job, accounts: Iterable[TagAccount], now: datetime) -> None:
    """Take what is on the truck, and what the customer took, out of storage.

    What stays keeps its vault; what nobody found stays where it should be, until it is found.
    """
    away = {account.tag for account in accounts if account.end in _AWAY}
    labels = load_labels(load=job.load)
    items_leave(items=[item for item, label in labels if label in away], now=now)
