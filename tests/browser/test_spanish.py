"""A crew that reads Spanish: a shift on shared and own phones, without network, and no English."""

import re
from collections.abc import Callable

from django.urls import reverse
from playwright.sync_api import Page, expect

from inventory.models import User
from jobs.models import CrewMember, Event, Job
from jobs.services import events_record, tasks_assign
from tests.browser.conftest import PHONE, Enter
from tests.browser.floor import all_sent, kept, set_up
from tests.jobs.reports import report
from tests.jobs.stage import NOW

ENGLISH = re.compile(r"\b(the|is|are|of|and|not|with|from|nothing|done|tier|vault|piece)\b", re.I)
"""Words that no Spanish text has. What stands in the data is English and is taken out first."""


def _in_spanish() -> tuple[Job, dict[str, CrewMember], User]:
    job, crew, dana = set_up()
    User.objects.update(language="es")
    return job, {name: CrewMember.objects.get(pk=one.pk) for name, one in crew.items()}, dana


def _english(page: Page, job: Job) -> list[str]:
    """English words on the page. Nothing is asked of the pieces' names, which are data."""
    assert job.plan is not None
    named = {item["name"] for item in job.plan.request_document["items"]}
    text = page.locator("body").inner_text()
    for name in sorted(named, key=len, reverse=True):
        text = text.replace(name, "")
    return ENGLISH.findall(text)


def test_a_shift_in_spanish(enter: Enter, picture: Callable[[Page, str], None]) -> None:
    """Wim and Hanne on their own phones; Lou, the foreman, reports for Hugo, who has none."""
    job, crew, _ = _in_spanish()
    tasks_assign(job_id=job.id, now=NOW)
    wim = enter(crew["wim"].user, "/my-task/")
    expect(wim.locator("html")).to_have_attribute("lang", "es")
    expect(wim.get_by_role("heading", level=1)).to_contain_text("Apartar cajón X9")
    wim.get_by_role("button", name="Hecho").click()
    all_sent(wim)
    expect(wim.get_by_text("Último reporte: cajón apartado X9")).to_be_visible()
    told = [report("vault_pulled", vault="V1"), report("piece_unpacked", tag="001")]
    events_record(job=job, events=told, actor=crew["wim"].user, now=NOW)
    tasks_assign(job_id=job.id, now=NOW)
    lou = enter(crew["lou"].user, f"/jobs/{job.id}/hands/")
    his = lou.locator(".hands > li").filter(has_text="hugo").first
    expect(his.get_by_text("sin teléfono")).to_be_visible()
    picture(lou, "hands-es-360")
    his.get_by_role("button", name="Hecho").click()
    all_sent(lou)
    assert Event.objects.filter(actor=crew["lou"].user).count() == 1


def test_without_network_in_spanish(enter: Enter) -> None:
    job, crew, _ = _in_spanish()
    page = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    page.wait_for_function("() => !!navigator.serviceWorker.controller")
    page.context.set_offline(True)
    page.locator(".work > .now").get_by_role("button", name="Puesta", exact=True).click()
    kept(page, 1)
    net = page.locator(".net")
    expect(net).to_contain_text("todavía sin enviar")
    expect(net).to_contain_text("Sin red.")
    events_record(
        job=job, events=[report("piece_loaded", tag="001")], actor=crew["wim"].user, now=NOW
    )
    page.context.set_offline(False)
    all_sent(page)
    expect(net.locator(".net-told")).to_contain_text("pieza cargada 001 se anotó")
    assert Event.objects.filter(actor=crew["lou"].user).count() == 1


def test_a_sheet_is_typed_in_and_survives_a_lost_session(
    enter: Enter, picture: Callable[[Page, str], None]
) -> None:
    job, _, dana = _in_spanish()
    page = enter(User.objects.get(pk=dana.pk), f"/jobs/{job.id}/sheet/?part=0")
    line = page.locator(".ticked tbody tr").filter(has_text="X9")
    line.locator("[type=time]").fill("06:10")
    expect(line.locator("[type=checkbox]")).to_be_checked()
    signed_in = page.context.cookies()
    page.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Registrar lo marcado").click()
    expect(page).to_have_url(re.compile("/sign-in/"))
    page.context.add_cookies(signed_in)  # type: ignore[arg-type]
    page.goto(f"/jobs/{job.id}/sheet/?part=0")
    expect(line.locator("[type=time]")).to_have_value("06:10")
    picture(page, "sheet-es-360")
    page.get_by_role("button", name="Registrar lo marcado").click()
    expect(page.get_by_text("1 línea está registrada.")).to_be_visible()
    expect(page.locator(".ticked")).not_to_contain_text("X9")
    assert Event.objects.get().kind == "vault_moved"


def test_no_english_on_a_spanish_page(enter: Enter, picture: Callable[[Page, str], None]) -> None:
    job, crew, dana = _in_spanish()
    told = [report("vault_not_found", vault="V2"), report("piece_loaded", tag="999")]
    told += [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    events_record(job=job, events=told, actor=crew["wim"].user, now=NOW)
    tasks_assign(job_id=job.id, now=NOW)
    names = ("job", "tasks", "hands", "sheet", "pulls", "tiers", "solid", "phones", "closing")
    addresses = [reverse(f"jobs:{name}", args=[job.id]) for name in names]
    addresses += [reverse(f"jobs:{name}", args=[job.id]) for name in ("loader", "warehouse")]
    page = enter(User.objects.get(pk=dana.pk), "/my-task/", PHONE, worker=False)
    found = {}
    for address in ["/days/2026-03-04/", "/my-task/", *addresses]:
        page.goto(address)
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        if words := _english(page, job):
            found[address] = words
        plain = address.replace(str(job.id), "").strip("/").replace("/", "-")
        picture(page, f"es-{plain}-360")
    assert found == {}
    page = enter(crew["hanne"].user, "/my-task/", worker=False)
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    assert _english(page, job) == []
