"""A damage with a photograph, without network: both wait on the phone and find each other later."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser.conftest import PHONE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.conftest import Enter


@pytest.fixture(scope="module", autouse=True)
def media(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Where the served pages keep photographs."""
    root = tmp_path_factory.mktemp("media")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TIERWRIGHT_MEDIA_ROOT", str(root))
        yield root


def _photo() -> dict[str, object]:
    drawn = io.BytesIO()
    Image.new("RGB", (400, 300), "brown").save(drawn, "JPEG")
    return {"name": "damage.jpg", "mimeType": "image/jpeg", "buffer": drawn.getvalue()}


def _task_page(enter: Enter) -> Page:
    """Hanne's task: the first piece is to be unpacked."""
    from jobs.services import events_record, tasks_assign
    from tests.browser.floor import set_up
    from tests.jobs.reports import report
    from tests.jobs.stage import NOW

    job, crew, dana = set_up()
    pulled = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    events_record(job=job, events=pulled, actor=dana, now=NOW)
    tasks_assign(job_id=job.id, now=NOW)
    page = enter(crew["hanne"].user, "/my-task/", PHONE)
    page.wait_for_function("() => !!navigator.serviceWorker.controller")
    return page


def _tell(page: Page) -> None:
    page.locator("details.problem summary").first.click()
    form = page.locator("form[data-photo]").first
    form.locator("[name=note]").fill("D 2")
    form.locator("[name=photo]").set_input_files(_photo())  # type: ignore[arg-type]
    form.locator("button").click()


def test_a_photograph_waits_for_the_network_and_is_kept_once(
    enter: Enter, picture: Callable[[Page, str], None], media: Path
) -> None:
    from inventory.models import Photo
    from jobs.models import Event

    page = _task_page(enter)
    page.context.set_offline(True)
    _tell(page)
    expect(page.locator("body")).to_have_attribute("data-photos", "1")
    expect(page.locator(".photo-net")).to_contain_text("wait on this phone for the network: 1")
    picture(page, "photo-waits-360")
    assert not Photo.objects.exists()
    page.context.set_offline(False)
    expect(page.locator("body")).to_have_attribute("data-photos", "0")
    expect(page.locator("body")).to_have_attribute("data-unsent", "0")
    kept, noted = Photo.objects.get(), Event.objects.get(kind="exception_noted")
    assert (kept.event, kept.tag) == (noted.uuid, noted.payload["tag"])
    assert noted.payload["note"] == "D 2"
    assert [path.name for path in media.rglob("*.jpg")] == [f"{kept.pk}.jpg"]
