"""Asking for a new plan of the rest of a load: a row, and a message on commit."""

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from jobs.folding.conflicts import ALREADY, LEFT, UNKNOWN
from jobs.folding.kinds import REPLAN_KINDS, EventKind
from jobs.models import Event, Job, Replan
from jobs.services.sending import replan_send

_CHANGES_NOTHING: Final = (UNKNOWN, ALREADY, LEFT)


def replan_ask(*, job: Job, causes: Sequence[str], now: datetime) -> Replan | None:
    """Ask for a new plan of the rest; one that waits already answers these causes too.

    Call with the job's row locked. A job without tasks has nothing to plan anew.
    """
    if not causes or job.tasks_plan_id is None or job.status == Job.Status.CLOSED:
        return None
    waiting = Replan.objects.filter(job=job, status=Replan.Status.ASKED).first()
    if waiting is None:
        waiting = Replan.objects.create(job=job, causes=list(causes), asked_at=now)
    else:
        waiting.causes = list(dict.fromkeys([*waiting.causes, *causes]))
        waiting.save(update_fields=["causes"])
    replan_send(waiting.id)
    return waiting


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
