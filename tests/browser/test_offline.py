"""No network: what is reported is kept, survives, is sent in order and recorded once."""

import re
from collections.abc import Callable
from datetime import timedelta
from uuid import UUID

from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from inventory.models import Lane, Vault
from inventory.services import arrival_announce
from jobs.models import Event
from jobs.services import tasks_assign
from tests.browser.conftest import DESK, Enter
from tests.browser.floor import all_sent, kept, set_up
from tests.jobs.stage import NOW

LOST = "document.dispatchEvent(new CustomEvent('live', { detail: { kind: 'lost' } }))"


def _worker_ready(page: Page) -> None:
    page.wait_for_function("() => !!navigator.serviceWorker.controller")


def _place(page: Page, count: int) -> None:
    for n in range(count):
        page.locator(".work > .now button.primary").first.click()
        expect(page.locator(".work > .told")).to_have_count(n + 1)


def test_ten_events_without_network_then_all_in_order(enter: Enter) -> None:
    job, _, dana = set_up()
    page = enter(dana, f"/jobs/{job.id}/warehouse/")
    _worker_ready(page)
    page.reload()  # the worker keeps what it has seen
    page.goto(f"/jobs/{job.id}/loader/")
    page.context.set_offline(True)
    _place(page, 5)
    expect(page.locator(".net")).to_contain_text("5 not sent yet")
    page.goto(f"/jobs/{job.id}/warehouse/")  # from the phone itself
    _place(page, 5)
    kept(page, 10)
    page.reload()
    kept(page, 10)
    expect(page.locator(".work > .told")).to_have_count(5)
    assert not Event.objects.exists()
    page.context.set_offline(False)
    all_sent(page)
    events = list(Event.objects.order_by("sequence"))
    assert len(events) == 10
    assert [event.kind for event in events[5:]] == [
        "vault_moved",
        "vault_pulled",
        "vault_cleared",
        "vault_pulled",
        "vault_cleared",
    ]
    moments = [event.happened_at for event in events]
    assert moments == sorted(moments)
    expect(page.locator(".net-waiting")).to_be_hidden()


def test_a_vault_from_outside_is_put_away_without_network(
    enter: Enter, picture: Callable[[Page, str], None]
) -> None:
    job, crew, _ = set_up()
    for name in ("L1", "L2"):
        Lane.objects.create(branch=job.branch, name=name, depth=2, levels=2)
    told = {"expected_at": NOW - timedelta(hours=2), "now": NOW}
    arrival_announce(arrival_id=UUID(int=1), branch=job.branch, code="N1", **told)
    tasks_assign(job_id=job.id, now=NOW)
    picture(enter(crew["wim"].user, "/my-task/"), "stow-task-360")
    picture(enter(crew["wim"].user, f"/jobs/{job.id}/warehouse/", DESK), "stow-1440")
    page = enter(crew["wim"].user, f"/jobs/{job.id}/warehouse/")
    picture(page, "stow-360")
    line = page.locator("[data-subject='N1']")
    page.context.set_offline(True)
    line.get_by_label("Lane").select_option("L2")
    line.get_by_role("button", name="It stands there").click()
    kept(page, 1)
    expect(line).to_have_class(re.compile("told"))
    page.context.set_offline(False)
    all_sent(page)
    lane = Vault.objects.get(code="N1").lane
    assert lane is not None
    assert lane.name == "L2"
    assert Event.objects.get().outcome == "recorded"


def test_what_came_twice_is_recorded_once_and_forgotten(enter: Enter) -> None:
    """The answer got lost on its way: the phone sends the same again."""
    job, crew, _ = set_up()
    # A worker's requests would pass the route below.
    page = enter(crew["lou"].user, f"/jobs/{job.id}/loader/", worker=False)
    lost: list[str] = []

    def lose_the_first_answer(route) -> None:  # type: ignore[no-untyped-def]
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch().text())
            route.abort()

    page.route("**/batch/", lose_the_first_answer)
    page.locator(".work > .now button.primary").first.click()
    expect(page.locator(".net-off")).to_be_visible()
    all_sent(page)
    assert "recorded" in lost[0]
    assert Event.objects.count() == 1


def test_who_is_signed_out_signs_in_and_sends(enter: Enter) -> None:
    job, crew, _ = set_up()
    lou = crew["lou"].user
    # Hashed as the server does it; the tests' own hasher is a faster one.
    lou.password = PBKDF2PasswordHasher().encode("six-in-the-morning", "salt", iterations=1)
    lou.save()
    page = enter(lou, f"/jobs/{job.id}/loader/")
    Session.objects.all().delete()
    page.locator(".work > .now button.primary").first.click()
    page.get_by_role("link", name="Sign in to send").click()
    page.get_by_label("Username").fill("lou")
    page.get_by_label("Password").fill("six-in-the-morning")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(re.compile(r"^[^?]*/loader/$"))
    all_sent(page)
    assert Event.objects.get().actor == lou


def test_who_is_signed_out_keeps_the_page_while_something_is_not_sent(enter: Enter) -> None:
    job, crew, _ = set_up()
    page = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    page.context.set_offline(True)
    _place(page, 1)
    kept(page, 1)
    Session.objects.all().delete()
    page.context.set_offline(False)
    expect(page.get_by_role("link", name="Sign in to send")).to_be_visible()
    gone: list[str] = []
    page.on("framenavigated", lambda frame: gone.append(frame.url))
    with page.expect_response(lambda answer: "/sign-in/" in answer.url):  # the page looks again
        page.evaluate(LOST)
    page.locator(".work > .now button.primary").first.click()
    kept(page, 2)
    expect(page.get_by_role("link", name="Sign in to send")).to_be_visible()
    assert not gone


def test_nobody_sends_what_another_reported(enter: Enter) -> None:
    """Two people share a browser: what one left unsent is not the other's."""
    job, crew, _ = set_up()
    page = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    page.context.set_offline(True)
    page.locator(".work > .now button.primary").first.click()
    kept(page, 1)
    other = enter(crew["wim"].user, "/my-task/")
    cookies = [c for c in other.context.cookies() if c["name"] == "sessionid"]
    page.context.add_cookies(cookies)
    page.context.set_offline(False)
    expect(page.get_by_text("Sign in to send")).to_be_visible()
    kept(page, 1)
    assert not Event.objects.exists()


def test_a_contradiction_is_shown_until_it_is_seen(enter: Enter) -> None:
    job, crew, _ = set_up()
    first = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    second = enter(crew["wim"].user, f"/jobs/{job.id}/loader/")
    second.context.set_offline(True)
    second.locator(".work > .now button.primary").first.click()
    kept(second, 1)
    first.locator(".work > .now button.primary").first.click()
    all_sent(first)
    second.context.set_offline(False)
    all_sent(second)
    told = second.locator(".net-told")
    expect(told).to_contain_text("piece loaded 001 was recorded, but contradicts")
    told.get_by_role("button", name="Seen").click()
    expect(second.locator(".net")).to_be_hidden()
    assert list(Event.objects.values_list("outcome", flat=True)) == ["recorded", "conflict"]


def test_pages_work_without_any_script(enter: Enter, browser, served: str) -> None:  # type: ignore[no-untyped-def]
    job, crew, _ = set_up()
    cookies = enter(crew["lou"].user, "/my-task/").context.cookies()
    plain = browser.new_context(base_url=served, java_script_enabled=False)
    plain.add_cookies(cookies)
    page = plain.new_page()
    page.goto(f"/jobs/{job.id}/loader/")
    page.locator(".work > .now button.primary").first.click()
    expect(page.locator("[data-subject='001']")).to_contain_text("in")
    assert Event.objects.get().payload == {"tag": "001"}
