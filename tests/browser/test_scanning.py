"""Codes of labels: typed, from a scanner that types, and by the camera where the browser cannot
read codes itself. The camera is Chromium's own stand-in, which plays a film of one label.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
import segno
from PIL import Image
from playwright.sync_api import Page, expect

from inventory.labels.codes import tag_code, vault_code
from inventory.models import User
from jobs.models import Job
from jobs.services import events_record, tasks_assign
from tests.browser.conftest import CHROMIUM, FLAGS, killed_at_the_end
from tests.browser.floor import is_live, set_up
from tests.jobs.reports import report
from tests.jobs.stage import NOW

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Locator, Playwright, Route

    from tests.browser.conftest import Enter

FRAMES = 20
SCANNED = """(code) => { for (const key of [...code, "Enter"])
    document.body.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true })); }"""

# Something changed on the job; done once the page has seen to it. Its own delay is as long.
CHANGED = """() => new Promise((done) => {
    document.dispatchEvent(new CustomEvent("live", { detail: { kind: "lost" } }));
    setTimeout(done, 30); })"""
# How often the part has been put into the page.
COUNTED = """() => { window.swapped = 0;
    document.addEventListener("htmx:afterSettle", () => { window.swapped += 1; }); }"""


@pytest.fixture
def browser(playwright: Playwright, transactional_db: None, tmp_path: Path) -> Iterator[Browser]:
    """A Chromium whose camera sees the label of vault V1 all the time."""
    film = tmp_path / "label.mjpeg"
    film.write_bytes(_label(vault_code(code="V1")) * FRAMES)
    mark = f"--tests-mark={uuid4()}"
    camera = ["--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream"]
    flags = [*FLAGS, mark, *camera, f"--use-file-for-fake-video-capture={film}"]
    with killed_at_the_end(mark):
        yield playwright.chromium.launch(executable_path=CHROMIUM, args=flags)


def _label(code: str) -> bytes:
    """A picture of a label on a grey vault, as JPEG."""
    drawn = io.BytesIO()
    segno.make_qr(code, error="m").save(drawn, kind="png", scale=8, border=4)
    seen = Image.new("RGB", (640, 480), "#998877")
    seen.paste(Image.open(drawn).convert("RGB"), (180, 90))
    kept = io.BytesIO()
    seen.save(kept, "JPEG", quality=85)
    return kept.getvalue()


def _warehouse(enter: Enter) -> tuple[Job, Page]:
    job, crew, _ = set_up()
    tasks_assign(job_id=job.id, now=NOW)
    return job, enter(crew["wim"].user, f"/jobs/{job.id}/warehouse/")


def test_the_camera_reads_a_label_without_a_reader_of_the_browser(enter: Enter) -> None:
    job, page = _warehouse(enter)
    page.context.add_init_script("delete window.BarcodeDetector")
    page.goto(f"/jobs/{job.id}/warehouse/")
    page.get_by_role("button", name="Camera").click()
    expect(page.locator(".work > .found")).to_have_attribute("data-subject", "V1")
    expect(page.locator(".scan-view")).to_be_hidden()
    read = page.evaluate("performance.getEntriesByType('resource').map((one) => one.name)")
    assert any(name.endswith("/vendor/qr/decode.js") for name in read)


def _scanned(page: Page, vault: str) -> Locator:
    """The line that is brought up."""
    page.evaluate(SCANNED, vault_code(code=vault))
    found = page.locator(".work > .found")
    expect(found).to_have_attribute("data-subject", vault)
    return found


def test_a_scanner_that_types_finds_the_line(enter: Enter) -> None:
    _, page = _warehouse(enter)
    _scanned(page, "V1")
    page.evaluate(SCANNED, tag_code(lot_number="77900", label_color="blue", number="007"))
    expect(page.locator(".work > .found")).to_have_attribute("data-subject", "007")


def test_what_was_found_stays_when_others_report(enter: Enter) -> None:
    job, page = _warehouse(enter)
    is_live(page)
    found = _scanned(page, "V2")
    told = [report("vault_moved", vault="X9", lane="L2")]
    events_record(job=job, events=told, actor=User.objects.get(username="lou"), now=NOW)
    expect(page.locator("[data-subject='X9']")).to_have_count(0)
    expect(found).to_have_attribute("data-subject", "V2")
    expect(found.get_by_role("button", name="It is on the dock")).to_be_focused()


def test_what_was_found_stays_when_more_changes_while_the_page_is_fetched(enter: Enter) -> None:
    _, page = _warehouse(enter)
    is_live(page)
    found = _scanned(page, "V2")
    page.evaluate(COUNTED)
    address = f"**{page.locator('#board').get_attribute('data-address')}"
    held: list[Route] = []
    page.route(address, lambda route: held.append(route), times=1)  # noqa: PLW0108 - Playwright reads its arguments
    with page.expect_request(address):
        page.evaluate(CHANGED)
    page.evaluate(CHANGED)
    held[0].continue_()
    page.wait_for_function("window.swapped === 2")
    expect(found).to_have_attribute("data-subject", "V2")


def test_a_mistyped_code_is_noticed(enter: Enter) -> None:
    _, page = _warehouse(enter)
    right = vault_code(code="V1")
    wrong = right.replace("V1", "V2")
    page.get_by_label("Tag or vault").fill(wrong)
    page.get_by_role("button", name="Show").click()
    expect(page.locator(".scan-said")).to_contain_text(f"{wrong}: The code's last sign")
    expect(page.locator(".work > .found")).to_have_count(0)
    page.get_by_label("Tag or vault").fill(" 7 ")
    page.get_by_role("button", name="Show").click()
    expect(page.locator(".work > .found")).to_have_attribute("data-subject", "007")
