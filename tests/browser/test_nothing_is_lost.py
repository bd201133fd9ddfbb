"""Random sequences of pressing, losing the network, finding it again and the browser being killed.

The browser runs on a directory of its own, as on a phone, and is killed as by a dead battery: no
page gets to say goodbye. What a person saw marked as reported must be recorded once, in order.
Ten seeds in the suite, a hundred with `make soak`.
"""

import random
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from inventory.models import User
from jobs.models import Event
from tests.browser.conftest import (
    CHROMIUM,
    FLAGS,
    PATIENCE_S,
    PHONE,
    kill_processes_with,
    killed_at_the_end,
)
from tests.browser.floor import all_sent, set_up

TAPS = 5
STEPS = 12
SUITE, SOAK = 10, 100
# In one go: the part of the page may be changed by news between looking and pressing.
PRESS = """() => {
    const line = document.querySelector(".work > .now");
    line.querySelector("button.primary").click();
    return line.dataset.subject;
}"""


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    is_soak = metafunc.config.getoption("--hypothesis-profile") == "soak"
    metafunc.parametrize("seed", range(SOAK if is_soak else SUITE))


class Phone:
    """One person's browser that keeps its storage when it is killed and opened again."""

    def __init__(self, playwright: Playwright, served: str, directory: Path, user: User) -> None:
        self.playwright, self.served, self.directory = playwright, served, directory
        client = Client()
        client.force_login(user)
        self.session = client.cookies[settings.SESSION_COOKIE_NAME].value
        self.is_offline = False
        self.context, self.page = self._opened()

    def _opened(self) -> tuple[BrowserContext, Page]:
        context = self.playwright.chromium.launch_persistent_context(
            self.directory,
            executable_path=CHROMIUM,
            args=FLAGS,
            base_url=self.served,
            viewport=PHONE,  # type: ignore[arg-type]
        )
        context.set_default_timeout(PATIENCE_S * 1000)
        # A killed browser may not have written its cookies; whoever opens it signs in again.
        cookie = {"name": "sessionid", "value": self.session, "url": self.served}
        context.add_cookies([cookie])  # type: ignore[list-item]
        context.set_offline(self.is_offline)
        return context, context.pages[0]

    def network(self, *, is_offline: bool) -> None:
        self.is_offline = is_offline
        self.context.set_offline(is_offline)

    def kill(self) -> None:
        kill_processes_with(f"--user-data-dir={self.directory}")

    def open_again(self) -> None:
        for lock in self.directory.glob("Singleton*"):
            lock.unlink(missing_ok=True)
        self.context, self.page = self._opened()


def _press(page: Page) -> str:
    """Report the piece or fill that is next; its key once the page shows it as reported."""
    expect(page.locator("body[data-unsent]")).to_have_count(1)  # what waits has been marked
    subject = page.evaluate(PRESS)
    gone = page.locator(f"[data-subject='{subject}']:is(.told, .in)")
    expect(gone).to_have_count(1)
    return str(subject)


def test_what_was_shown_as_reported_is_recorded_once_and_in_order(
    playwright: Playwright, served: str, transactional_db: None, tmp_path: Path, seed: int
) -> None:
    job, crew, _ = set_up()
    rng = random.Random(seed)
    address = f"/jobs/{job.id}/loader/"
    pressed: list[str] = []
    with killed_at_the_end(f"--user-data-dir={tmp_path / 'phone'}"):
        phone = Phone(playwright, served, tmp_path / "phone", crew["lou"].user)
        phone.page.goto(address)
        phone.page.wait_for_function("() => !!navigator.serviceWorker.controller")
        phone.page.reload()  # the worker keeps what it has seen
        for step in rng.choices(["press", "lose", "find", "kill"], [4, 2, 1, 1], k=STEPS):
            if step == "press" and len(pressed) < TAPS:
                pressed.append(_press(phone.page))
            elif step == "kill":
                phone.kill()
                phone.open_again()
                phone.page.goto(address)
            elif step in ("lose", "find"):
                phone.network(is_offline=step == "lose")
        phone.network(is_offline=False)
        all_sent(phone.page)
    told = [_subject(event) for event in Event.objects.order_by("sequence")]
    assert told == pressed
    assert pressed


def _subject(event: Event) -> str:
    return str(next(iter(event.payload.values())))
