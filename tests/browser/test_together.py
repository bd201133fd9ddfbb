"""Four people on four phones bring a load from its lanes to its last tier, live."""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from jobs.models import Event, Job, Task
from jobs.services import events_record, tasks_assign
from tests.browser.conftest import DESK, Enter
from tests.browser.floor import all_sent, is_live, set_up
from tests.jobs.reports import report
from tests.jobs.stage import NOW

BUTTONS = {"move": "It is shifted", "pull": "It is on the dock", "clear": "It is cleared"}


def _hand_out(job: Job) -> None:
    """What the dispatch worker does after each report."""
    tasks_assign(job_id=job.id, now=NOW)


def _first_in_hand(job: Job) -> Task | None:
    return job.tasks.filter(status=Task.Status.ASSIGNED).order_by("sequence").first()


def _do(pages: dict[str, Page], task: Task) -> Page:
    """The person who has the task presses its button, on the page that this person works with."""
    given = task.assignments.filter(ended_at__isnull=True).order_by("pk").first()
    assert given is not None
    person = given.person.username
    page = pages.get(person, pages[f"{person}'s task"])
    if person == "wim" and task.kind in BUTTONS:
        line = page.locator(f".work > .now[data-subject='{task.vault}']")
        line.get_by_role("button", name=BUTTONS[task.kind]).click()
    elif person == "lou" and task.kind == "load":
        page.locator(f".work > .now[data-subject='{task.tag}'] button.primary").click()
    elif person == "lou" and task.kind == "fill":
        page.locator(".work > .now").get_by_role("button", name="Rolled pads are in").click()
    elif person == "lou" and task.kind == "close":
        page.get_by_role("button", name=f"Tier {task.tier} is closed").click()
    else:
        page = pages[f"{person}'s task"]
        name = f"{task.get_kind_display()} {task.tag or task.vault}"
        expect(page.get_by_role("heading", level=1)).to_contain_text(name)
        page.locator(".work > .now .report button.primary").click()
    return page


def test_a_load_from_its_lanes_to_its_last_tier(
    enter: Enter, picture: Callable[[Page, str], None]
) -> None:
    job, crew, dana = set_up()
    _hand_out(job)
    pages = {f"{name}'s task": enter(crew[name].user, "/my-task/") for name in crew}
    pages["wim"] = enter(crew["wim"].user, f"/jobs/{job.id}/warehouse/")
    pages["lou"] = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    day = enter(dana, f"/jobs/{job.id}/", DESK)
    for page in (*pages.values(), day):
        is_live(page)
    done = 0
    while task := _first_in_hand(job):
        all_sent(_do(pages, task))
        _hand_out(job)
        task.refresh_from_db()
        assert task.status == Task.Status.DONE
        done += 1
    assert done == job.tasks.count() == 31
    expect(day.get_by_text("31 of 31 tasks done")).to_be_visible()
    expect(pages["lou"].get_by_role("heading", name="All tiers are closed")).to_be_visible()
    picture(day, "job-done-1440")
    assert {event.actor.username for event in Event.objects.all() if event.actor} == set(crew)
    assert not Event.objects.filter(outcome=Event.Outcome.CONFLICT).exists()


def test_a_change_on_one_phone_is_on_the_others(enter: Enter) -> None:
    job, crew, dana = set_up()
    _hand_out(job)
    warehouse = enter(crew["wim"].user, f"/jobs/{job.id}/warehouse/")
    loader = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    day = enter(dana, "/days/2026-03-04/", DESK)
    helper = enter(crew["hanne"].user, "/my-task/")
    for page in (loader, day, helper):
        is_live(page)
    now = warehouse.locator(".work > .now")
    for vault, said in (("X9", "It is shifted"), ("V1", "It is on the dock")):
        expect(now).to_have_attribute("data-subject", vault)
        now.get_by_role("button", name=said).click()
        all_sent(warehouse)
        _hand_out(job)
        expect(now).not_to_have_attribute("data-subject", vault)
    expect(day.get_by_text("2 of 31 tasks done")).to_be_visible()
    for name in ("Fetch 007 mattress", "Unpack 001 chest of drawers"):
        expect(helper.get_by_role("heading", name=name)).to_be_visible()
        helper.get_by_role("button", name="Done").click()
        all_sent(helper)
        _hand_out(job)
    expect(loader.locator("[data-subject='001'] .where")).to_contain_text("dock floor")


def test_the_loader_confirms_a_tier_naming_what_differs(
    enter: Enter, picture: Callable[[Page, str], None]
) -> None:
    job, crew, _ = set_up()
    loader = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    picture(loader, "loader-360")
    whole = loader.locator("#whole-tier")
    whole.locator("summary").click()
    whole.get_by_label("004 light carton").uncheck()
    whole.get_by_role("button", name="Tier 1 is closed").click()
    all_sent(loader)
    expect(loader.get_by_role("heading", name="Tier 2 of 2")).to_be_visible()
    kinds = list(Event.objects.order_by("sequence").values_list("kind", "payload"))
    loaded = [payload["tag"] for kind, payload in kinds if kind == "piece_loaded"]
    assert loaded == ["001", "002", "003", "005"]
    assert kinds[-1] == ("tier_closed", {"tier": 1})
    assert ("fill_placed", {"fill": 1, "pads": 1}) in kinds


def test_what_others_do_does_not_give_back_a_tick(enter: Enter) -> None:
    job, crew, _ = set_up()
    loader = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    is_live(loader)
    whole = loader.locator("#whole-tier")
    whole.locator("summary").click()
    whole.get_by_label("004 light carton").uncheck()
    part = "htmx.ajax('GET', document.querySelector('#board').dataset.address, {target: '#board'})"
    loader.evaluate(f"() => {{ {part}.finally(() => {{ window.answered = true; }}); }}")
    loader.wait_for_function("() => window.answered")
    expect(whole.get_by_label("004 light carton")).to_be_visible()
    expect(whole.get_by_label("004 light carton")).not_to_be_checked()


def test_the_loader_taps_where_a_piece_stands(enter: Enter) -> None:
    job, crew, _ = set_up()
    loader = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    loader.locator(".work > .now .elsewhere").click()
    dialog = loader.locator("#elsewhere")
    scene = dialog.locator(".scene").bounding_box()
    assert scene is not None
    loader.mouse.click(scene["x"] + scene["width"] / 2, scene["y"] + scene["height"] / 2)
    dialog.get_by_label("on end").check()
    dialog.get_by_role("button", name="It stands there").click()
    all_sent(loader)
    event = Event.objects.get()
    assert event.kind == "piece_loaded_elsewhere"
    told = event.payload
    assert (told["tag"], told["tier"], told["posture"]) == ("001", 1, "on_end")
    # The middle of the picture is the middle of the truck: 2 000 mm wide, 2 200 high.
    assert 700 < told["y_mm"] < 1300
    assert 700 < told["z_mm"] < 1500


def test_the_loader_asks_what_fits_a_gap(
    enter: Enter, picture: Callable[[Page, str], None]
) -> None:
    job, crew, _ = set_up()
    events = [report("piece_loaded", tag="001"), report("piece_loaded", tag="002")]
    events_record(job=job, events=events, actor=crew["lou"].user, now=NOW)
    loader = enter(crew["lou"].user, f"/jobs/{job.id}/loader/")
    loader.get_by_role("button", name="What fits here?").click()
    dialog = loader.locator("#gap")
    scene = dialog.locator(".scene").bounding_box()
    assert scene is not None
    # Right of the two that are in, near the deck.
    loader.mouse.click(scene["x"] + 0.85 * scene["width"], scene["y"] + 0.75 * scene["height"])
    found = dialog.locator(".gap-found")
    expect(found).to_contain_text("The gap is")
    expect(found.locator("li").first).to_contain_text("in vault V1")
    assert Event.objects.count() == 2
    picture(loader, "what-fits")
    found.get_by_role("button", name="Bring me this").first.click()
    all_sent(loader)
    expect(dialog).not_to_be_visible()
    event = Event.objects.get(kind="piece_wanted")
    assert (event.payload["tier"], event.outcome) == (1, "recorded")
    assert job.tasks.filter(tag=event.payload["tag"], wanted_tier=1).exists()
