"""The office's pages around and after a load, by the rules of `test_access`."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING
from uuid import UUID

import pytest
from PIL import Image

from tests.browser.conftest import DESK, PHONE
from tests.browser.test_access import AXE, FIND, TAGS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import Page
    from pytest_django.fixtures import Settings

    from inventory.models import User
    from jobs.models import Job
    from tests.browser.conftest import Enter


@pytest.fixture(scope="module", autouse=True)
def media(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Where the served pages and the tests keep photographs."""
    root = tmp_path_factory.mktemp("media")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TIERWRIGHT_MEDIA_ROOT", str(root))
        yield root


def _a_day() -> tuple[Job, User, list[str]]:
    """A job with a difference, a weight ticket, two conditions, a photograph, a truck chosen."""
    from inventory.models import Moment, Role, Upkeep, Vault
    from inventory.services import condition_note
    from jobs.services import events_record
    from jobs.services.photos import job_photo_store
    from loading.ledger import Account, Equipment, PlaceKind
    from loading.planner.plan import parse_plan
    from loading.services import (
        dock_study_create,
        dock_study_execute,
        equipment_count_record,
        equipment_move,
        scale_ticket_record,
        truck_choice_create,
        truck_choice_execute,
    )
    from tests.browser.floor import set_up
    from tests.jobs.reports import report
    from tests.jobs.stage import NOW, make_piece
    from tests.loading.planner.fitting.test_choosing import row
    from tests.loading.test_scale import WHOLE

    job, _, dana = set_up()
    Role.objects.create(user=dana, branch=job.branch, kind="office")
    item = make_piece(job.load.release.shipment)
    item.high_value = True
    item.save()
    Vault.objects.create(branch=job.branch, code="V-77", upkeep=Upkeep.SWEEP)
    Vault.objects.create(branch=job.branch, code="V-78")
    told = {"item": item, "by": dana, "now": NOW}
    condition_note(note_id=UUID(int=1), moment=Moment.RECEIVED, note="SC 4-8, D 2", **told)
    noted = report("exception_noted", tag="001", note="BR 4")
    events = [report("piece_loaded", tag="001"), noted, report("piece_missing", tag="003")]
    events_record(job=job, events=events, actor=dana, now=NOW)
    drawn = io.BytesIO()
    Image.effect_mandelbrot((640, 480), (-2.2, -1.2, 1.0, 1.2), 60).convert("RGB").save(
        drawn, "JPEG"
    )
    job_photo_store(
        job=job,
        photo_id=UUID(int=2),
        tag="001",
        sent=drawn.getvalue(),
        event=UUID(noted["uuid"]),
        taken_at=NOW,
        by=dana,
        now=NOW,
    )
    load = job.load
    truck = Account(PlaceKind.TRUCK, load.truck.name)
    pads = {"branch": job.branch, "equipment": Equipment.PAD, "now": NOW, "by": dana}
    equipment_move(
        movement_id=UUID(int=3), source=Account(PlaceKind.OUTSIDE), target=truck, count=40, **pads
    )
    equipment_count_record(
        count_id=UUID(int=4), load=load, equipment=Equipment.PAD, count=37, now=NOW
    )
    scale_ticket_record(ticket_id=UUID(int=5), load=load, now=NOW, **WHOLE)
    choice = truck_choice_create(
        choice_id=UUID(int=6),
        release=load.release,
        dock=load.dock,
        trucks=[load.truck],
        distance_km=20,
        budget_s=1,
        now=NOW,
        send=False,
    )
    truck_choice_execute(choice_id=choice.pk, now=NOW, plan=row)
    plan = load.plans.get()
    study = dock_study_create(study_id=UUID(int=7), plan=plan, now=NOW, send=False)
    dock_study_execute(study_id=study.pk, now=NOW, plan=lambda _: parse_plan(plan.document))
    gain = {"more_loaded": 0, "shorter_mm": 400, "fewer_moves": 2}
    price = {"waiting": 3, "wait_s": 2400, "sooner": "V4102", **gain}
    study.refresh_from_db()
    study.answer["price"] = price
    study.answer["docks"][1] |= {"pays": True, **gain}
    study.save()
    branch = job.branch.code
    return (
        job,
        dana,
        [
            f"/jobs/{job.pk}/closing/",
            f"/jobs/{job.pk}/release-record/",
            f"/jobs/{job.pk}/high-value/",
            f"/jobs/{job.pk}/carrier-hand-over/",
            f"/office/pieces/{item.pk}/",
            f"/loading/loads/{load.pk}/scale/",
            f"/loading/releases/{load.release_id}/trucks/",
            f"/loading/truck-choices/{choice.pk}/",
            f"/loading/plans/{plan.pk}/dock/",
            f"/loading/plans/{plan.pk}/",
            f"/loading/{branch}/equipment/",
            f"/inventory/{branch}/",
            f"/inventory/{branch}/search/?q=001",
            f"/inventory/{branch}/import/",
            f"/inventory/{branch}/shipments/",
            "/inventory/me/",
            f"/office/releases/{load.release_id}/job/",
            f"/loading/plans/{plan.pk}/papers/",
            f"/loading/plans/{plan.pk}/road/",
            f"/inventory/{branch}/vaults/",
            f"/inventory/{branch}/shipments/{load.release.shipment_id}/",
        ],
    )


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_pages_after_a_load_are_accessible_and_fit_the_screen(
    enter: Enter,
    picture: Callable[[Page, str], None],
    size: dict[str, int],
    settings: Settings,
    media: Path,
) -> None:
    settings.MEDIA_ROOT = str(media)
    _, dana, addresses = _a_day()
    page = enter(dana, "/days/2026-03-04/", size)
    found = {}
    for number, address in enumerate(addresses):
        answer = page.goto(address)
        assert answer is not None
        assert answer.ok, address
        page.evaluate("document.querySelectorAll('main details').forEach((d) => d.open = true)")
        page.add_script_tag(path=AXE)
        page.evaluate("document.querySelectorAll('img').forEach((i) => { i.loading = 'eager'; })")
        page.wait_for_function("() => [...document.images].every((i) => i.naturalWidth > 0)")
        told = page.evaluate(FIND, TAGS)
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        picture(page, f"office-{number:02}-{size['width']}")
        if told or over > 0:
            found[address] = (told, over)
    assert found == {}
