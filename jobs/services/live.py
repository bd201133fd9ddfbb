"""Telling the live screens that something has changed, once it is committed.

What is told is only what to look at again: a page fetches it with its own rights. The news lie in
a stream of the broker, so that a screen that was away reads on from where it was.
"""

from functools import cache
from typing import Final
from uuid import UUID

import redis
import structlog
from django.conf import settings
from django.db import transaction

STREAM: Final = "tierwright:live"
KEPT: Final = 5_000
"""About how many news are kept; a screen that was away for longer loads its page anew."""

Value = bytes | bytearray | memoryview | str | int | float
"""What the broker's client takes in a stream's entry."""

log = structlog.get_logger()


def change_publish(job_id: UUID, branch_id: int) -> None:
    """Say on commit that a job has changed: its events, tasks, crew or plan."""
    transaction.on_commit(lambda: _add({"job": str(job_id), "branch": str(branch_id)}))


def phone_end_publish(device_id: UUID) -> None:
    """Say on commit that a phone's leave has ended, so that its stream ends too."""
    transaction.on_commit(lambda: _add({"phone": str(device_id)}))


def _add(news: dict[Value, Value]) -> None:
    """A broker that is down must not undo what was written; screens poll then."""
    try:
        _broker(settings.REDIS_URL).xadd(STREAM, news, maxlen=KEPT, approximate=True)
    except redis.RedisError as error:
        log.warning("live.unpublished", error=str(error))


@cache
def _broker(url: str) -> "redis.Redis":
    return redis.Redis.from_url(url)
