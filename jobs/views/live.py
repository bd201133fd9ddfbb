"""Live screens: a stream that says which job has changed, and a poll where no stream is possible.

Neither says what the change is: the page asks for its part anew, with its own rights.
"""

import asyncio
import json
from collections.abc import AsyncIterator
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from asgiref.sync import sync_to_async
from django.db import connections
from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse

from inventory.models import User
from inventory.permissions import branches_where
from jobs.views.live_hub import LOST, News, hub, id_key, missed

BEAT_S: Final = 15.0
LIFE_S: Final = 300.0
"""A stream ends after this and the page opens it again: rights are looked at anew."""
RETRY_MS: Final = 1_000


@dataclass(frozen=True, slots=True)
class Listener:
    """What of the news somebody may hear: branches, and for a phone one job."""

    branches: frozenset[str]
    phone: UUID | None
    job_id: UUID | None

    def hears(self, news: News) -> bool:
        if news is LOST:
            return True
        if self.job_id is not None and news.fields.get("job") != str(self.job_id):
            return False
        return news.fields.get("branch") in self.branches

    def ends_with(self, news: News) -> bool:
        return self.phone is not None and news.fields.get("phone") == str(self.phone)


async def live(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """The stream (server-sent events). `Last-Event-ID`, or `?after=`, is where it reads on.

    `?jobs=` are the jobs that the open pages show, with commas between; without it all are told.
    """
    listener = await sync_to_async(_listener)(request)
    if listener is None:
        return JsonResponse({"code": "sign_in"}, status=401)
    after = request.headers.get("Last-Event-ID") or request.GET.get("after", "")
    stream = _stream(listener, after, _jobs(request.GET.get("jobs", "")))
    answer = StreamingHttpResponse(stream, content_type="text/event-stream")
    answer["Cache-Control"] = "no-store"
    answer["X-Accel-Buffering"] = "no"
    return answer


async def live_since(request: HttpRequest) -> HttpResponse:
    """The poll: the jobs that changed after an id, and the id to ask after next time."""
    listener = await sync_to_async(_listener)(request)
    if listener is None:
        return JsonResponse({"code": "sign_in"}, status=401)
    after = request.GET.get("after", "")
    found = await missed(after or "0-0")
    last = max((news.id for news in found if news.id), key=id_key, default=after)
    heard = [news for news in found if listener.hears(news)]
    jobs = sorted({news.fields["job"] for news in heard if "job" in news.fields})
    lost = not after or LOST in found
    return JsonResponse({"last": last, "jobs": jobs, "lost": lost})


def _listener(request: HttpRequest) -> Listener | None:
    """Who listens. The database connection is given back: a stream holds none."""
    try:
        user = request.user
        if not isinstance(user, User):
            return None
        phone = getattr(request, "phone", None)
        seen = frozenset(str(branch.pk) for branch in branches_where(user=user, action="job.read"))
        return Listener(seen, phone and phone.device.pk, phone and phone.job_id)
    finally:
        connections.close_all()


def _jobs(text: str) -> frozenset[str] | None:
    return frozenset(text.split(",")) if text else None


async def _stream(
    listener: Listener, after: str, jobs: frozenset[str] | None
) -> AsyncIterator[bytes]:
    yield f"retry: {RETRY_MS}\n: open\n\n".encode()
    news = hub().listen(after, jobs)
    waiting = asyncio.ensure_future(anext(news))
    until = asyncio.get_running_loop().time() + LIFE_S
    try:
        while asyncio.get_running_loop().time() < until:
            before = hub().last
            done, _ = await asyncio.wait({waiting}, timeout=BEAT_S)
            if not done:
                # Up to there nothing was for this stream: it reads on from there another time.
                yield f"id: {before}\n: beat\n\n".encode() if before else b": beat\n\n"
                continue
            found = waiting.result()
            if listener.ends_with(found):
                yield b"event: ended\ndata: {}\n\n"
                return
            if listener.hears(found):
                yield _said(found)
            waiting = asyncio.ensure_future(anext(news))
    finally:
        waiting.cancel()


def _said(news: News) -> bytes:
    name = "lost" if news is LOST else "job"
    data = json.dumps({"job": news.fields.get("job")})
    key = f"id: {news.id}\n" if news.id else ""
    return f"{key}event: {name}\ndata: {data}\n\n".encode()
