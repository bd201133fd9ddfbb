"""Writing down weight tickets."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.forms.models import model_to_dict

from inventory.models import User
from loading.errors import TicketUuidReused
from loading.models import Load, ScaleTicket

_WHO_AND_WHEN = ("id", "recorded_at", "recorded_by")


def scale_ticket_record(
    *, ticket_id: UUID, load: Load, now: datetime, by: User | None = None, **written: Any
) -> ScaleTicket:
    """Keep a ticket, whole or not: `written` has the fields of `ScaleTicket`.

    What it lacks, and what its weights say against each other, `load_scale` tells. The same UUID
    is one ticket; raises `TicketUuidReused` where it stands for another.
    """
    wished = ScaleTicket(id=ticket_id, load=load, recorded_at=now, recorded_by=by, **written)
    stored, created = ScaleTicket.objects.get_or_create(
        id=ticket_id,
        defaults={"load": load, "recorded_at": now, "recorded_by": by, **written},
    )
    if not created and _content(stored) != _content(wished):
        raise TicketUuidReused(ticket_id)
    return stored


def _content(ticket: ScaleTicket) -> dict[str, Any]:
    return model_to_dict(ticket, exclude=_WHO_AND_WHEN)
