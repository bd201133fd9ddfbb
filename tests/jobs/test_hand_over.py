"""A job as billing gets it: by API, with a schema."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING
from uuid import UUID

from django.test import Client

from jobs.services import events_record, tasks_assign
from loading.services import scale_ticket_record
from tests.jobs.reports import HAPPENED, report
from tests.jobs.stage import NOW
from tests.loading.test_scale import WHOLE

if TYPE_CHECKING:
    from inventory.models import User
    from jobs.models import CrewMember, Job


def later(minutes: int, kind: str, **payload: object) -> dict[str, object]:
    at = HAPPENED + timedelta(minutes=minutes)
    return report(kind, **payload) | {"happened_at": at.isoformat()}


def test_what_billing_gets(accepted: Job, crew: dict[str, CrewMember], dispatcher: User) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    wim = crew["wim"].pk
    day = [
        later(0, "helper_on", member=wim),
        later(1, "vault_moved", vault="X9", lane="L2"),
        later(2, "vault_pulled", vault="V1"),
        later(3, "piece_unpacked", tag="001", storage_pads_off=3, moving_pads_on=2),
        later(4, "piece_loaded", tag="001"),
        later(5, "weight_corrected", tag="001", weight_g=50_000),
        later(6, "job_paused", reason="weather", note=""),
        later(16, "job_resumed"),
        later(
            17,
            "carton_packed",
            tag="P1",
            name="lamps",
            length_mm=500,
            width_mm=500,
            height_mm=500,
            weight_g=8000,
        ),
        later(18, "way_noted", flights=2, carry_m=40),
        later(60, "departed"),
    ]
    events_record(job=accepted, events=day, actor=dispatcher, now=NOW + timedelta(minutes=5))
    scale_ticket_record(ticket_id=UUID(int=1), load=accepted.load, now=NOW, **WHOLE)
    client = Client()
    client.force_login(dispatcher)
    told = client.get(f"/api/jobs/{accepted.pk}/hand-over/").json()
    assert (told["load"], told["shipment"], told["day"]) == ("small", "SHP-0001", "2026-03-04")
    assert told["date_out"] == "2026-03-04T13:01:00Z"
    assert (told["vaults"], told["pieces"], told["pieces_g"]) == (["V1"], 1, 50_000)
    assert told["net_g"] == 50_000
    assert (told["moving_pads"], told["storage_pads"], told["cartons_packed"]) == (2, 3, 1)
    assert (told["flights"], told["carry_m"]) == (2, 40)
    assert told["waited"] == [{"reason": "weather", "waited_s": 600}]
    assert told["presence"] == [
        {"person": "wim", "part": "warehouse", "on_floor_s": 3600, "break_s": 0}
    ]
    moved = {"person": "wim", "part": "warehouse", "kind": "move", "tasks": 1, "worked_s": 300}
    assert moved in told["work"]
    assert told["not_on_the_truck"]["open"] == 7


def test_what_nobody_told_is_null(accepted: Job, dispatcher: User) -> None:
    client = Client()
    client.force_login(dispatcher)
    told = client.get(f"/api/jobs/{accepted.pk}/hand-over/").json()
    assert [told[key] for key in ("date_out", "net_g", "flights", "carry_m")] == [None] * 4


def test_a_stranger_gets_nothing(accepted: Job, stranger: User) -> None:
    client = Client()
    client.force_login(stranger)
    assert client.get(f"/api/jobs/{accepted.pk}/hand-over/").status_code == 404
