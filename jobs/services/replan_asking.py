"""Asking for a new plan of the rest of a load: a row, and a message on commit."""

from collections.abc import Sequence
from contextlib import suppress
from datetime import datetime
from typing import Final

from jobs.folding.conflicts import ALREADY, LEFT, UNKNOWN
from jobs.folding.kinds import REPLAN_KINDS, EventKind
from jobs.models import Event, Job, Replan
from jobs.services.sending import replan_send
from loading.errors import RunFinished
from loading.services import plan_run_accept_early

_CHANGES_NOTHING: Final = (UNKNOWN, ALREADY, LEFT)


def replan_ask(*, job: Job, causes: Sequence[str], now: datetime) -> Replan | None:
    """Ask for a new plan of the rest; one that waits already answers these causes too.

    Call with the job's row locked. A job without tasks has nothing to plan anew.
    """
    if not causes or job.tasks_plan_id is None or job.status == Job.Status.CLOSED:
        return None
    _second_look_end(job, now)
    waiting = Replan.objects.filter(job=job, status=Replan.Status.ASKED).first()
    if waiting is None:
        waiting = Replan.objects.create(job=job, causes=list(causes), asked_at=now)
    else:
        # What a second look goes back to was answered before.
        earlier = [] if waiting.second_look else waiting.causes
        waiting.causes = list(dict.fromkeys([*earlier, *causes]))
        waiting.second_look = False
        waiting.save(update_fields=["causes", "second_look"])
    replan_send(waiting)
    return waiting


def second_look_ask(*, replan: Replan, now: datetime) -> Replan | None:
    """Ask for a longer search behind a replan, unless something else is asked for already.

    Call with the job's row locked.
    """
    if Replan.objects.filter(job=replan.job_id, status=Replan.Status.ASKED).exists():
        return None
    look = Replan.objects.create(
        job_id=replan.job_id, causes=replan.causes, asked_at=now, second_look=True
    )
    replan_send(look)
    return look


def _second_look_end(job: Job, now: datetime) -> None:
    """What just happened does not wait for a second look: it ends with what it has found."""
    looks = Replan.objects.filter(job=job, status=Replan.Status.PLANNING, second_look=True)
    for run_id in looks.exclude(run=None).values_list("run", flat=True):
        # One that has ended by itself is about to be settled.
        with suppress(RunFinished):
            plan_run_accept_early(run_id=run_id, now=now)


def replan_causes(events: Sequence[Event]) -> list[str]:
    """What of these events asks for a new plan: `piece_missing 012`, each cause once."""
    undone = [event.payload["event"] for event in events if event.kind == EventKind.UNDONE]
    taken_back = Event.objects.filter(uuid__in=undone, kind__in=REPLAN_KINDS) if undone else ()
    causes = [
        f"{event.kind} {event.subject}".strip()
        for event in events
        if event.kind in REPLAN_KINDS and event.conflict not in _CHANGES_NOTHING
    ]
    causes += [f"undone {event.kind} {event.subject}".strip() for event in taken_back]
    return list(dict.fromkeys(causes))
