"""What the planning workers run: ids in, one service call out."""

import os
import socket
from typing import Any
from uuid import UUID

from celery import shared_task
from celery.signals import worker_init
from django.utils import timezone

from loading.services import (
    dock_studies_resend,
    dock_study_execute,
    paper_make,
    papers_resend,
    plan_run_execute,
    plan_runs_resend,
    truck_choice_execute,
    truck_choices_resend,
)


@worker_init.connect
def kernels_warm(sender: Any, **_: Any) -> None:
    """Load the search's kernels before the pool forks, where loads are planned: no run waits."""
    if not {"plan", "replan"}.isdisjoint(sender.app.amqp.queues.consume_from):
        from loading.planner.search import warm

        warm()


@shared_task(name="loading.background.plan_run_execute")
def background_plan_run_execute(*, run_id: str) -> None:
    plan_run_execute(
        run_id=UUID(run_id),
        worker=f"{socket.gethostname()}/{os.getpid()}",
        now=timezone.now(),
        workers=os.cpu_count() or 1,
    )


@shared_task(name="loading.background.plan_runs_resend")
def background_plan_runs_resend() -> None:
    plan_runs_resend(now=timezone.now())
    truck_choices_resend(now=timezone.now())
    dock_studies_resend(now=timezone.now())


@shared_task(name="loading.background.plan_truck_choice_execute")
def background_plan_truck_choice_execute(*, choice_id: str) -> None:
    truck_choice_execute(choice_id=UUID(choice_id), now=timezone.now())


@shared_task(name="loading.background.plan_dock_study_execute")
def background_plan_dock_study_execute(*, study_id: str) -> None:
    dock_study_execute(study_id=UUID(study_id), now=timezone.now(), workers=os.cpu_count() or 1)


@shared_task(name="loading.background.papers_make")
def background_papers_make(*, paper_id: str) -> None:
    paper_make(paper_id=UUID(paper_id), now=timezone.now())


@shared_task(name="loading.background.papers_resend")
def background_papers_resend() -> None:
    papers_resend(now=timezone.now())
