"""What the worker under test runs: it answers through a list that the test waits on."""

import os
import signal

import redis
from celery import shared_task
from django.conf import settings


@shared_task(name="tests.probe.answer")
def answer(*, key: str, word: str) -> None:
    with redis.Redis.from_url(settings.REDIS_URL) as broker:
        broker.lpush(key, word)


@shared_task(name="tests.probe.answer_on_second_try")
def answer_on_second_try(*, key: str, word: str) -> None:
    """Die as if the machine's memory had run out the first time."""
    with redis.Redis.from_url(settings.REDIS_URL) as broker:
        if broker.incr(f"{key}:tries") == 1:
            os.kill(os.getpid(), signal.SIGKILL)
        broker.lpush(key, word)
