"""Pairing a phone by the dispatcher's code, what it reaches, and ending that."""

from collections.abc import Callable

from playwright.sync_api import BrowserContext, Page, expect

from inventory.models import Device
from jobs.models import CrewMember, Event, Job
from tests.browser.conftest import DESK, Enter
from tests.browser.floor import all_sent, is_live, kept, set_up

Window = Callable[..., BrowserContext]


def _code(dana: Page, job: Job, member: CrewMember) -> str:
    dana.goto(f"/jobs/{job.id}/phones/")
    line = dana.locator(".lines li").filter(has_text=member.user.username).first
    line.get_by_role("button", name="Show a code").click()
    expect(dana.locator("svg.qr")).to_be_visible()
    return dana.get_by_label("Or open this address").input_value()


def _pair(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    page.goto(address)
    page.get_by_role("button", name="Pair").click()
    page.wait_for_url("**/w/**")
    return page


def test_a_phone_is_paired_reaches_its_job_and_is_revoked(enter: Enter, window: Window) -> None:
    job, crew, dispatcher = set_up()
    dana = enter(dispatcher, "/", DESK)
    address = _code(dana, job, crew["lou"])
    phone = _pair(window(), address)
    expect(phone.get_by_role("heading", name="Tier 1 of 2")).to_be_visible()
    phone.locator(".work > .now button.primary").first.click()
    all_sent(phone)
    event = Event.objects.get()
    assert (event.actor, event.device) == (crew["lou"].user, Device.objects.get())

    spent = window().new_page()
    assert spent.goto(address).status == 410  # type: ignore[union-attr]
    prefix = phone.url.split("/jobs/")[0]
    for barred in ("/", "/admin/", "/api/jobs/", f"/jobs/{job.id}/", "/inventory/NORTH/import/"):
        assert phone.request.get(prefix + barred).status == 403, barred
    assert phone.request.get("/my-task/", max_redirects=0).status == 302  # nobody outside

    is_live(phone)
    dana.goto(f"/jobs/{job.id}/phones/")
    dana.get_by_role("button", name="Revoke").click()
    expect(phone.get_by_role("heading", name="This phone is no longer paired")).to_be_visible()


def test_a_revoked_phone_keeps_what_it_has_not_sent(enter: Enter, window: Window) -> None:
    job, crew, dispatcher = set_up()
    dana = enter(dispatcher, "/", DESK)
    phone = _pair(window(), _code(dana, job, crew["lou"]))
    phone.context.set_offline(True)
    phone.locator(".work > .now button.primary").first.click()
    kept(phone, 1)
    dana.goto(f"/jobs/{job.id}/phones/")
    dana.get_by_role("button", name="Revoke").click()
    expect(dana.locator(".lines").last).to_contain_text("revoked")
    phone.context.set_offline(False)
    expect(phone.locator(".net-ended")).to_be_visible()
    kept(phone, 1)
    assert not Event.objects.exists()


def test_windows_of_one_browser_are_different_people(enter: Enter, window: Window) -> None:
    job, crew, dispatcher = set_up()
    dana = enter(dispatcher, "/", DESK)
    shared = window()
    phones = {name: _pair(shared, _code(dana, job, crew[name])) for name in ("lou", "wim")}
    expect(phones["lou"].locator(".who summary")).to_contain_text("lou")
    expect(phones["wim"].get_by_role("heading", name="Pulls")).to_be_visible()
    phones["wim"].get_by_role("button", name="It is shifted").first.click()
    all_sent(phones["wim"])
    phones["lou"].locator(".work > .now button.primary").first.click()
    all_sent(phones["lou"])
    told = {event.kind: event.actor for event in Event.objects.all()}
    assert told == {"vault_moved": crew["wim"].user, "piece_loaded": crew["lou"].user}
