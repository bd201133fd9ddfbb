"""What live screens are told, and to whom. The whole way is in tests/browser."""

import asyncio
from uuid import UUID

import pytest
import redis
from django.conf import settings
from django.db import transaction

from jobs.models import CrewMember, Job
from jobs.services import events_record
from jobs.services.live import STREAM, change_publish
from jobs.views.live import Listener
from jobs.views.live_hub import LOST, WAIT_MS, Ear, Hub, News, id_key, missed, reading_broker
from tests.jobs.reports import report
from tests.jobs.stage import NOW

JOB = UUID("6f0f4f3e-4bb0-4a57-9a55-2a4ad8d4a001")


@pytest.fixture
def broker() -> "redis.Redis":
    """The tests' own broker, without news."""
    found = redis.Redis.from_url(settings.REDIS_URL, decode_responses=True)
    found.delete(STREAM)
    return found


def _news(broker: "redis.Redis") -> list[dict[str, str]]:
    return [fields for _, fields in broker.xrange(STREAM)]


@pytest.mark.django_db(transaction=True)
def test_a_report_is_news_once_it_is_committed(
    broker: "redis.Redis", accepted: Job, crew: dict[str, CrewMember]
) -> None:
    broker.delete(STREAM)
    told = {"job": str(accepted.pk), "branch": str(accepted.branch_id)}
    with transaction.atomic():
        events = [report("vault_moved", vault="X9", lane="L2")]
        events_record(job=accepted, events=events, actor=crew["wim"].user, now=NOW)
        assert _news(broker) == []
    assert _news(broker) == [told]


@pytest.mark.django_db(transaction=True)
def test_a_broker_that_is_down_undoes_nothing(
    accepted: Job, crew: dict[str, CrewMember], settings
) -> None:
    settings.REDIS_URL = "unix:///nowhere/valkey.sock"
    with transaction.atomic():
        change_publish(accepted.pk, accepted.branch_id)
        Job.objects.filter(pk=accepted.pk).update(status="running")
    accepted.refresh_from_db()
    assert accepted.status == "running"


def _add(broker: "redis.Redis", count: int) -> list[str]:
    return [str(broker.xadd(STREAM, {"job": str(n), "branch": "1"})) for n in range(count)]


def test_a_stream_reads_on_where_it_was(broker: "redis.Redis") -> None:
    ids = _add(broker, 4)
    assert [news.id for news in asyncio.run(missed(ids[1]))] == ids[2:]
    assert asyncio.run(missed(ids[3])) == []
    assert asyncio.run(missed("")) == []


def test_who_was_away_for_too_long_looks_at_everything(broker: "redis.Redis") -> None:
    ids = _add(broker, 4)
    broker.xtrim(STREAM, maxlen=2, approximate=False)
    assert asyncio.run(missed(ids[0])) == [LOST]
    broker.delete(STREAM)
    assert asyncio.run(missed(ids[0])) == [LOST]
    assert asyncio.run(missed("rubbish")) == [LOST]


def test_all_streams_of_a_process_hear_what_comes(broker: "redis.Redis") -> None:
    first = _add(broker, 1)[0]

    async def listened() -> list[list[str]]:
        hub = Hub()
        streams = [hub.listen(first) for _ in range(3)]
        waiting = [asyncio.ensure_future(anext(stream)) for stream in streams]
        while hub.reader is None or len(hub.listeners) < 3:
            await asyncio.sleep(0)
        later = await asyncio.to_thread(_add, broker, 2)
        heard = [
            [(await one).id, (await anext(s)).id] for one, s in zip(waiting, streams, strict=True)
        ]
        for stream in streams:
            await stream.aclose()
        hub.reader.cancel()
        assert hub.listeners == set()
        return [later, *heard]

    later, *heard = asyncio.run(listened())
    assert heard == [later] * 3


def test_a_stream_is_woken_by_its_jobs_alone(broker: "redis.Redis") -> None:
    first = _add(broker, 2)[0]  # of jobs 0 and 1

    async def listened() -> tuple[list[str], int]:
        hub = Hub()
        stream = hub.listen(first, frozenset({"1", "7"}))
        heard = [(await anext(stream)).fields["job"]]
        waiting = asyncio.ensure_future(anext(stream))
        await asyncio.sleep(0)
        await asyncio.to_thread(_add, broker, 2)
        heard.append((await waiting).fields["job"])
        [ear] = hub.listeners
        left = ear.queue.qsize()
        await stream.aclose()
        if hub.reader is not None:
            hub.reader.cancel()
        return heard, left

    assert asyncio.run(listened()) == (["1", "1"], 0)


def test_what_is_of_no_job_is_for_every_stream() -> None:
    ear = Ear(frozenset({"7"}))
    assert ear.wants(LOST)
    assert ear.wants(News("1-0", {"phone": "x"}))
    assert not ear.wants(News("1-0", {"job": "8", "branch": "1"}))
    assert Ear(None).wants(News("1-0", {"job": "8", "branch": "1"}))


def test_one_hears_of_ones_own_branches_and_a_phone_of_its_job() -> None:
    person = Listener(frozenset({"1"}), None, None)
    phone = Listener(frozenset({"1"}), JOB, JOB)
    own = News("1-0", {"job": str(JOB), "branch": "1"})
    foreign = News("2-0", {"job": str(JOB), "branch": "2"})
    other = News("3-0", {"job": "another", "branch": "1"})
    assert [person.hears(news) for news in (own, foreign, other, LOST)] == [True, False, True, True]
    assert [phone.hears(news) for news in (own, foreign, other, LOST)] == [True, False, False, True]
    ended = News("4-0", {"phone": str(JOB)})
    assert phone.ends_with(ended)
    assert not person.ends_with(ended)
    assert not person.hears(ended)


def test_numbers_of_news_compare_as_numbers() -> None:
    assert id_key("9-2") < id_key("10-1") < id_key("10-2")
    assert id_key("rubbish") == (0, 0)


def test_silence_is_no_error() -> None:
    """The client's own patience (5 s) is shorter than a reading that waits for news."""
    patience_s = reading_broker().connection_pool.connection_kwargs["socket_timeout"]
    assert patience_s > WAIT_MS / 1000
