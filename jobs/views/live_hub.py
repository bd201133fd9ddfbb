"""One reader of the broker's news per process; it hands them to every stream of the process."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any, Final
from weakref import WeakKeyDictionary

import redis.asyncio
import redis.exceptions
from django.conf import settings

from jobs.services.live import STREAM

WAIT_MS: Final = 10_000
"""So long one reading waits for news; the connection must wait longer, or silence is an error."""
AGAIN_S: Final = 1.0
REPLAY_MOST: Final = 1_000


@dataclass(frozen=True, slots=True)
class News:
    """One change. `id` is the broker's, in order; `fields` are job and branch, or phone."""

    id: str
    fields: dict[str, str]


LOST: Final = News("", {"lost": "1"})
"""Says that something may have been missed: everything is to be looked at anew."""


@dataclass(eq=False)
class Ear:
    """One stream's news. `jobs` are those it asked for; None: it asked for all."""

    jobs: frozenset[str] | None
    queue: "asyncio.Queue[News]" = field(default_factory=lambda: asyncio.Queue(REPLAY_MOST))

    def wants(self, news: News) -> bool:
        """What is of no job, as the end of a phone's leave, is for everybody."""
        job = news.fields.get("job")
        return self.jobs is None or job is None or job in self.jobs


@dataclass(eq=False)
class Hub:
    """The streams of this event loop, and the task that reads for them.

    A stream is woken only by what it asked for: of two hundred open ones a tap wakes ten.
    """

    listeners: set[Ear] = field(default_factory=set)
    reader: "asyncio.Task[None] | None" = None
    reads: asyncio.Event = field(default_factory=asyncio.Event)
    last: str = ""
    """The id of the news that was handed on last."""

    async def listen(self, after: str, jobs: frozenset[str] | None = None) -> AsyncIterator[News]:
        """News of some jobs, or of all, after an id and then as they come.

        Older than what is kept gives LOST first.
        """
        ear = Ear(jobs)
        self.listeners.add(ear)
        if self.reader is None or self.reader.done():
            self.reads.clear()
            self.reader = asyncio.create_task(self._read())
        try:
            last = after
            await self.reads.wait()  # else what comes between the two readings would be missed
            for news in await missed(after):
                last = news.id or last
                if ear.wants(news):
                    yield news
            while True:
                news = await ear.queue.get()
                if not news.id or id_key(news.id) > id_key(last):
                    yield news
        finally:
            self.listeners.discard(ear)

    async def _read(self) -> None:
        last = "$"
        while self.listeners:
            try:
                last = await self._read_once(last)
            except redis.exceptions.RedisError:
                await asyncio.sleep(AGAIN_S)
                last = "$"
                self._hand_on(LOST)

    async def _read_once(self, last: str) -> str:
        broker = reading_broker()
        try:
            if last == "$":
                last = await newest(broker)
            self.reads.set()
            while self.listeners:
                answer: Any = await broker.xread({STREAM: last}, block=WAIT_MS)
                for news in (found for _, entries in answer or [] for found in _news(entries)):
                    self.last = last = news.id
                    self._hand_on(news)
        finally:
            await broker.aclose()
        return last

    def _hand_on(self, news: News) -> None:
        for ear in self.listeners:
            if ear.wants(news):
                with suppress(asyncio.QueueFull):  # a stream so slow ends by itself and resumes
                    ear.queue.put_nowait(news)


def reading_broker() -> "redis.asyncio.Redis":
    """A client that may wait for news as long as a reading does; its own patience is shorter."""
    patience_s = 2 * WAIT_MS / 1000
    return redis.asyncio.Redis.from_url(
        settings.REDIS_URL, decode_responses=True, socket_timeout=patience_s
    )


_hubs: "WeakKeyDictionary[asyncio.AbstractEventLoop, Hub]" = WeakKeyDictionary()


def hub() -> Hub:
    """The hub of the running event loop."""
    return _hubs.setdefault(asyncio.get_running_loop(), Hub())


async def newest(broker: "redis.asyncio.Redis") -> str:
    """The id of the last news, or the beginning of all."""
    last = _news(await broker.xrevrange(STREAM, count=1))
    return last[0].id if last else "0-0"


async def missed(after: str) -> list[News]:
    """What came after an id. LOST alone if that cannot be told: too old, or too much."""
    if not after:
        return []
    broker = redis.asyncio.Redis.from_url(settings.REDIS_URL, decode_responses=True)
    try:
        oldest = _news(await broker.xrange(STREAM, count=1))
        later = _news(await broker.xrange(STREAM, min=f"({after}", count=REPLAY_MOST))
    except redis.exceptions.RedisError:
        return [LOST]
    finally:
        await broker.aclose()
    too_old = not oldest or id_key(oldest[0].id) > id_key(after)
    return [LOST] if too_old or len(later) == REPLAY_MOST else later


def _news(entries: Any) -> list[News]:
    """The broker's pairs of id and fields, which its client types more loosely than they are."""
    return [News(key, fields) for key, fields in entries]


def id_key(text: str) -> tuple[int, int]:
    """The broker's `milliseconds-number` as a pair that compares; (0, 0) for anything else."""
    time, _, number = text.partition("-")
    return (int(time), int(number or 0)) if time.isdecimal() and number.isdecimal() else (0, 0)
