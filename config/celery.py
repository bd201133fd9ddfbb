"""The Celery application: four queues by kind of work, and what happens when a worker dies."""

import gc
import os

from celery import Celery
from celery.signals import setup_logging, worker_process_init
from kombu.entity import Queue

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

QUEUES = ("plan", "replan", "dispatch", "papers")

# In this order: the longest budget of a plan, then a task is told to end, then its process is
# killed, and only then does the broker hand the message out again; else a task would start twice
# (the row that it claims is the real guard). Quick tasks have limits of their own.
SOFT_LIMIT_S = 1200
HARD_LIMIT_S = 1500
VISIBILITY_TIMEOUT_S = 1800

app = Celery("tierwright")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.conf.update(
    task_queues=[Queue(name) for name in QUEUES],
    task_default_queue="dispatch",
    task_routes={
        "loading.background.plan_*": {"queue": "plan"},
        "jobs.background.job_plan*": {"queue": "plan"},
        # Never behind another load's first plan: a worker of its own serves this one.
        "jobs.background.replan_*": {"queue": "replan"},
        "loading.background.papers_*": {"queue": "papers"},
        "jobs.background.papers_*": {"queue": "papers"},
        "inventory.background.papers_*": {"queue": "papers"},
    },
    # The database holds what came of a task, so no result is kept.
    task_ignore_result=True,
    task_acks_late=True,
    task_soft_time_limit=SOFT_LIMIT_S,
    task_time_limit=HARD_LIMIT_S,
    task_reject_on_worker_lost=True,
    worker_prefetch_multiplier=1,
    broker_connection_retry_on_startup=True,
    broker_transport_options={
        "visibility_timeout": VISIBILITY_TIMEOUT_S,
        "unacked_restore_interval": 2,
        "unacked_restore_throttle": 1,
    },
    # Found again by row, should a message have been lost; exactly one beat runs anywhere.
    beat_schedule={
        "plan-runs-resend": {"task": "loading.background.plan_runs_resend", "schedule": 30.0},
        "papers-resend": {"task": "loading.background.papers_resend", "schedule": 30.0},
        "work-resend": {"task": "jobs.background.work_resend", "schedule": 10.0},
    },
)
app.autodiscover_tasks(related_name="background")


@setup_logging.connect
def _logging_configure(**_: object) -> None:
    """Keep the logging that the settings made: Celery installs its own unless someone answers."""


@worker_process_init.connect
def imports_set_aside(**_: object) -> None:
    """Keep what was imported out of the collector's rounds: walking through the kernels' compiler
    takes it a fifth of a second, and a replan makes enough rows for one or two rounds."""
    gc.freeze()
