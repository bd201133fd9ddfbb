"""Messages reach a real worker over the embedded broker, and outlive a killed process."""

from uuid import uuid4

import pytest
import redis
from django.conf import settings

from config.celery import VISIBILITY_TIMEOUT_S, app
from loading.api.serializers import BUDGET_MAX_S
from tests.conftest import StartWorker

WAIT_S = 120  # a worker compiles the planner's kernels before its first task


@pytest.mark.parametrize("task", ["tests.probe.answer", "tests.probe.answer_on_second_try"])
def test_a_task_is_done_by_a_worker_even_if_the_first_process_dies(
    start_worker: StartWorker, task: str
) -> None:
    queue, key = f"queue-{uuid4()}", f"answer-{uuid4()}"
    start_worker(queue, include="tests.config.probe")

    app.send_task(task, kwargs={"key": key, "word": "done"}, queue=queue)

    with redis.Redis.from_url(settings.REDIS_URL, socket_timeout=None) as broker:
        assert broker.blpop(key, timeout=WAIT_S) == (key.encode(), b"done")


@pytest.mark.parametrize(
    ("task", "queue"),
    [
        ("loading.background.plan_run_execute", "plan"),
        ("jobs.background.job_plan", "plan"),
        ("jobs.background.replan_execute", "replan"),
        ("jobs.background.papers_render", "papers"),
        ("jobs.background.tasks_assign", "dispatch"),
    ],
)
def test_a_task_goes_to_the_queue_of_its_kind(task: str, queue: str) -> None:
    assert app.amqp.router.route({}, task)["queue"].name == queue


def test_a_task_is_told_to_end_then_ended_and_only_then_sent_again() -> None:
    app.loader.import_default_modules()
    ours = {name: task for name, task in app.tasks.items() if ".background." in name}
    assert {"loading.background.plan_run_execute", "jobs.background.tasks_assign"} <= ours.keys()
    for name, task in ours.items():
        soft_s = task.soft_time_limit or app.conf.task_soft_time_limit
        hard_s = task.time_limit or app.conf.task_time_limit
        assert soft_s < hard_s < VISIBILITY_TIMEOUT_S, name
        if "plan_" in name:
            assert soft_s > BUDGET_MAX_S, name
