"""Every page by the rules of WCAG 2.2 AA that axe-core can judge, and without sideways scrolling.

Tags from axe-core's own documentation; the tool is in tests/browser/vendor.
"""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page

from inventory.models import User
from jobs.models import DayCrews, Job, Replan
from jobs.services import pairing_create, shift_put, tasks_assign
from tests.browser.conftest import DESK, PHONE, Enter
from tests.browser.floor import set_up
from tests.jobs import stage
from tests.jobs.stage import NOW

PLAIN = str.maketrans("/?=&", "----")
AXE = Path(__file__).parent / "vendor" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
OPEN_ALL = "() => document.querySelectorAll('#board details').forEach((d) => { d.open = true; })"
FIND = """async (tags) => (await axe.run(document, {runOnly: tags})).violations
    .map((v) => v.id + ": " + v.nodes.map((n) => n.target.join(" ")).slice(0, 4).join(" | "))"""


def _pages(job: Job) -> dict[str, list[str]]:
    at = [job.id]
    names = ("job", "tasks", "pulls", "tiers", "solid", "phones", "hands", "sheet")
    versions = reverse("jobs:versions", args=at) + "?former=1&version=1"
    return {
        "dana": [
            "/days/2026-03-04/",
            "/days/2026-03-04/times/",
            "/days/2026-03-04/crews/",
            *(reverse(f"jobs:{name}", args=at) for name in (*names, "loader", "warehouse")),
            versions,
        ],
        "wim": ["/my-task/"],
        "hanne": ["/my-task/"],
    }


def _propose_crew(job: Job, people: list[User]) -> None:
    """A shift and a place on the proposed crew for each, one of them not put on the job yet."""
    new = stage.make_person(job.branch, "nils", "helper")
    hours, rest = (NOW, NOW + timedelta(hours=9)), (NOW + timedelta(hours=3),) * 2
    for person in (*people, new):
        breaks = [(rest[0], rest[1] + timedelta(minutes=30))]
        shift_put(
            branch=job.branch, person=person, day=job.day, hours=hours, breaks=breaks, now=NOW
        )
    row = {
        "job": str(job.pk),
        "people": [
            {"person": one.pk, "part": "helper", "why": why}
            for one, why in zip(
                (*people, new), ("loader", "forklift", "hands", "hands", "sooner"), strict=True
            )
        ],
        "starts_at": NOW.isoformat(),
        "ends_at": (NOW + timedelta(hours=3)).isoformat(),
        "spare_min": 60,
        "one_less_min": 25,
    }
    DayCrews.objects.create(branch=job.branch, day=job.day, posts=[row], made_at=NOW)


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_pages_are_accessible_and_fit_the_screen(
    enter: Enter, picture: Callable[[Page, str], None], size: dict[str, int], ground: str
) -> None:
    job, crew, dana = set_up()
    tasks_assign(job_id=job.id, now=NOW)
    told = {"asked_at": NOW, "finished_at": NOW, "causes": ["vault_not_found V2"]}
    Replan.objects.create(job=job, status=Replan.Status.KEPT, **told)
    _propose_crew(job, [member.user for member in crew.values()])
    people = {"dana": dana, **{name: member.user for name, member in crew.items()}}
    found: dict[str, object] = {}
    for name, addresses in _pages(job).items():
        page = enter(people[name], "/my-task/", size)
        page.emulate_media(color_scheme=ground)  # type: ignore[arg-type]
        for address in addresses:
            page.goto(address)
            page.add_script_tag(path=AXE)
            page.evaluate(
                "document.querySelectorAll('#board details, #dock-over-time')"
                ".forEach((d) => d.open = true)"
            )
            told = page.evaluate(FIND, TAGS)
            over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            plain = address.replace(str(job.id), "").translate(PLAIN).replace("--", "-")
            picture(page, f"{name}{plain}{size['width']}-{ground}")
            if told or over > 0:
                found[f"{name} {address}"] = (told, over)
    assert found == {}


def test_pages_before_one_is_known_are_accessible(
    window: Callable[..., BrowserContext], picture: Callable[[Page, str], None]
) -> None:
    _, crew, _ = set_up()
    _, code = pairing_create(member=crew["lou"], by=None, now=timezone.now())
    page = window().new_page()
    found = {}
    for name, address in (
        ("sign-in", "/sign-in/"),
        ("pair", f"/pair/{code}/"),
        ("spent", "/pair/nothing/"),
        ("offline", "/offline/"),
    ):
        page.goto(address)
        page.add_script_tag(path=AXE)
        told = page.evaluate(FIND, TAGS)
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        picture(page, f"nobody-{name}-360")
        if told or over > 0:
            found[name] = (told, over)
    assert found == {}


def test_the_first_page_is_light(enter: Enter) -> None:
    job, crew, _ = set_up()
    page = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    sizes = page.evaluate(
        """() => performance.getEntriesByType("resource")
            .filter((r) => r.name.endsWith(".js")).map((r) => r.decodedBodySize)"""
    )
    assert len(sizes) >= 5
    assert sum(sizes) < 100_000
    everything = page.evaluate(
        """() => [...performance.getEntriesByType("navigation"),
            ...performance.getEntriesByType("resource")].map((r) => r.decodedBodySize)"""
    )
    assert sum(everything) < 300_000
