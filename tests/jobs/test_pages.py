"""The pages: they work, only for whom they are, and bad input gets a sentence."""

import json
import re
from copy import deepcopy
from uuid import uuid4

import pytest
from django.contrib.staticfiles import finders
from django.db import connection
from django.http import HttpResponse
from django.templatetags.static import static
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from inventory.models import Hold, User
from jobs.models import Assignment, CrewMember, Event, Job, Task
from jobs.scheduling.lifting_equation import CAUTION
from jobs.services import crew_member_put, events_record, job_accept_plan, tasks_assign
from jobs.views.app import SHELL
from loading.models import Load, LoadPlan, PlanRun
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN
from tests.jobs.stage import DAY, NOW, make_person, store_plan

SOME_UUID = "0d6f0f3e-6f0e-4c39-9d9c-5b7f0c1f2a11"
HTML = {"Accept": "text/html"}


def _text(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address, headers=HTML)
    assert response.status_code == status
    return response.content.decode()


@pytest.fixture
def office(client: Client, dispatcher: User) -> Client:
    client.force_login(dispatcher)
    return client


@pytest.fixture
def hand(accepted: Job, crew: dict[str, CrewMember]) -> Client:
    """Wim of the warehouse, who has the first task: to set X9 aside."""
    tasks_assign(job_id=accepted.id, now=NOW)
    client = Client()
    client.force_login(crew["wim"].user)
    return client


def _addresses(job: Job) -> list[str]:
    return [
        reverse("jobs:job", args=[job.id]),
        reverse("jobs:tasks", args=[job.id]),
        reverse("jobs:pulls", args=[job.id]),
        reverse("jobs:tiers", args=[job.id]),
        reverse("jobs:tier", args=[job.id, 2]),
        reverse("jobs:solid", args=[job.id]),
        reverse("jobs:loader", args=[job.id]),
        reverse("jobs:warehouse", args=[job.id]),
    ]


def test_the_pull_sheet_shows_lanes_moves_and_dock(office: Client, accepted: Job) -> None:
    text = _text(office, reverse("jobs:pulls", args=[accepted.id]))
    assert "The floor is fullest at step" in text
    assert "X9 is set aside" in text
    assert text.count('class="lanes-picture"') == 2  # the lanes, and the one move


def test_the_day_lists_its_jobs_and_crew(
    office: Client, accepted: Job, crew: dict[str, CrewMember]
) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    text = _text(office, reverse("jobs:day", args=[DAY]))
    assert reverse("jobs:job", args=[accepted.id]) in text
    assert "05:00" in text  # 11:00 UTC at the branch, which is on Central Standard Time
    assert "wim" in text
    assert "0 of 31 tasks done" in text


def test_a_day_without_jobs_says_so(office: Client) -> None:
    assert "No jobs on this day" in _text(office, "/days/2026-07-01/")
    assert "No jobs on this day" in _text(office, "/")


def test_a_day_that_is_none_is_not_found(office: Client) -> None:
    _text(office, "/days/2026-02-30/", 404)


def test_every_page_of_a_job_works(office: Client, accepted: Job) -> None:
    for address in _addresses(accepted):
        assert "small" in _text(office, address)


def test_pages_are_for_people_who_signed_in(client: Client, accepted: Job) -> None:
    for address in [*_addresses(accepted), "/", "/my-task/"]:
        response = client.get(address, headers=HTML)
        assert response.status_code == 302
        assert response["Location"].startswith(reverse("sign-in"))


def test_pages_of_another_branch_are_not_found(
    client: Client, accepted: Job, stranger: User
) -> None:
    client.force_login(stranger)
    for address in _addresses(accepted):
        _text(client, address, 404)
    assert "small" not in _text(client, reverse("jobs:day", args=[DAY]))


def test_papers_wait_for_a_plan(office: Client, job: Job) -> None:
    assert "There is no plan yet" in _text(office, reverse("jobs:job", args=[job.id]))
    _text(office, reverse("jobs:pulls", args=[job.id]), 404)
    _text(office, reverse("jobs:tiers", args=[job.id]), 404)


def test_a_jobs_page_shows_the_dock_of_its_accepted_plan(
    office: Client, job: Job, plan: LoadPlan
) -> None:
    address = reverse("jobs:job", args=[job.id])
    assert "dock-over-time" not in _text(office, address)
    office.post(reverse("jobs:accept", args=[job.id, plan.id]))
    picture = _text(office, address).partition('id="dock-over-time"')[2].partition("</details>")[0]
    assert "<svg" in picture
    assert reverse("jobs:pulls", args=[job.id]) in picture


def test_a_tier_that_the_plan_lacks_is_not_found(office: Client, accepted: Job) -> None:
    _text(office, reverse("jobs:tier", args=[accepted.id, 3]), 404)


def test_a_tier_shows_its_pieces_from_the_doors(office: Client, accepted: Job) -> None:
    text = _text(office, reverse("jobs:tier", args=[accepted.id, 1]))
    assert "<svg" in text
    assert "chest of drawers" in text
    assert "sofa" not in text


def test_a_dispatcher_accepts_a_plan(office: Client, job: Job, plan: LoadPlan) -> None:
    accept = reverse("jobs:accept", args=[job.id, plan.id])
    assert accept in _text(office, reverse("jobs:job", args=[job.id]))
    assert office.post(accept).status_code == 302
    assert job.tasks.count() == 31


def test_a_helper_does_not_accept_a_plan(hand: Client, accepted: Job, plan: LoadPlan) -> None:
    accept = reverse("jobs:accept", args=[accepted.id, plan.id])
    assert hand.post(accept, headers=HTML).status_code == 403


def test_a_held_shipment_says_so(office: Client, job: Job, plan: LoadPlan, hold: Hold) -> None:
    job_accept_plan(job=job, plan=plan, by=None, now=NOW)
    assert "The office holds this shipment" in _text(office, reverse("jobs:job", args=[job.id]))


def test_a_dispatcher_puts_people_on_the_crew(office: Client, job: Job, dispatcher: User) -> None:
    address = reverse("jobs:crew", args=[job.id])
    assert office.post(address, {"username": "dana", "part": "helper"}).status_code == 302
    assert job.crew.get().user == dispatcher


@pytest.mark.parametrize(
    "sent", [{"username": "nobody", "part": "helper"}, {"username": "dana", "part": "king"}, {}]
)
def test_a_crew_of_nobody_is_refused(office: Client, job: Job, sent: dict[str, str]) -> None:
    response = office.post(reverse("jobs:crew", args=[job.id]), sent)
    assert response.status_code == 422
    assert "errorlist" in response.content.decode()
    assert not job.crew.exists()


def test_a_task_says_what_from_where_to_where(hand: Client) -> None:
    text = _text(hand, "/my-task/")
    assert "Move vault aside" in text
    assert "X9" in text
    assert "lane L1" in text
    assert "lane L2" in text


def test_a_loose_piece_says_where_it_is_kept(accepted: Job, dispatcher: User) -> None:
    request = deepcopy(accepted.plan.request_document)
    next(one for one in request["items"] if one["tag"] == "007")["place"] = "bay 9"
    plan = store_plan(accepted.load, request=request)
    job_accept_plan(job=accepted, plan=plan, by=dispatcher, now=NOW)
    hugo = crew_member_put(
        job=accepted, user=make_person(accepted.branch, "hugo", "helper"), part="helper"
    )
    task = accepted.tasks.get(key="fetch:007")
    Assignment.objects.create(task=task, member=hugo, person=hugo.user, given_at=NOW)
    client = Client()
    client.force_login(hugo.user)
    assert "<dd>bay 9</dd>" in _text(client, "/my-task/")


def test_a_heavy_piece_says_with_whom_and_how(
    accepted: Job, crew: dict[str, CrewMember], client: Client
) -> None:
    events = [
        report("vault_moved", vault="X9", lane="L2"),
        report("vault_pulled", vault="V1"),
        report("piece_unpacked", tag="001"),
        report("piece_wrapped", tag="001"),
    ]
    events_record(job=accepted, events=events, actor=crew["lou"].user, now=NOW)
    task = Task.objects.get(key="carry:001")
    for name in ("hanne", "hugo"):
        member = crew[name]
        Assignment.objects.create(task=task, member=member, person=member.user, given_at=NOW)
    client.force_login(crew["hanne"].user)
    text = _text(client, "/my-task/")
    assert "chest of drawers" in text
    assert "hugo" in text
    assert "more than two people should lift by hand" in text
    assert "is recommended for 2 together" in text
    assert CAUTION in text
    assert "standing" in text
    assert "<svg" in text


def test_who_has_carried_much_is_told_so_alone(
    accepted: Job, crew: dict[str, CrewMember], client: Client
) -> None:
    task = Task.objects.get(key="carry:001")
    done = {"given_at": NOW, "ended_at": NOW, "ending": "done"}
    for name in ("hanne", "hugo"):
        member = crew[name]
        Assignment.objects.create(task=task, member=member, person=member.user, **done)
    User.objects.filter(pk=crew["hanne"].user_id).update(units="metric")
    client.force_login(crew["hanne"].user)
    text = _text(client, "/my-task/")
    said = re.search(
        r"carried by you today: ([\d.]+) kg\. For a whole shift at most (\S+) kg", text
    )
    assert said is not None
    assert said.groups() == ("22.5", "10000.0")
    Task.objects.filter(pk=task.pk).update(weight_g=30_000_000)
    assert 'class="notice warning">Lifted and carried by you today' in _text(client, "/my-task/")
    client.force_login(crew["wim"].user)
    assert "by you today" not in _text(client, "/my-task/")


def _told(kind: str, **payload: object) -> str:
    return json.dumps({"kind": kind, "payload": payload})


def _tell(client: Client, job: Job, *events: str, **more: str) -> HttpResponse:
    sent = {"event": events, "uuid": str(uuid4()), **more}
    return client.post(reverse("jobs:tell", args=[job.id]), sent, headers=HTML)


X9_MOVED = {"vault": "X9", "lane": "L2"}


def test_done_is_reported_once_however_often_it_is_pressed(hand: Client, accepted: Job) -> None:
    assert escape(_told("vault_moved", **X9_MOVED)) in _text(hand, "/my-task/")
    uuid = str(uuid4())
    for _ in range(2):
        response = _tell(hand, accepted, _told("vault_moved", **X9_MOVED), uuid=uuid)
        assert response.status_code == 302
        assert response["Location"] == "/mine/"
    event = Event.objects.get()
    assert (event.kind, event.payload) == ("vault_moved", X9_MOVED)
    assert Task.objects.get(key="move:X9").status == "done"


def test_a_form_tells_several_events_with_what_its_fields_add(hand: Client, accepted: Job) -> None:
    uuid = str(uuid4())
    told = [_told("piece_unpacked", tag="001"), _told("piece_wrapped", tag="001")]
    for _ in range(2):
        _tell(hand, accepted, *told, uuid=uuid, storage_pads_off="3", moving_pads_on="2")
    unpacked, wrapped = Event.objects.order_by("sequence")
    assert unpacked.payload == {"tag": "001", "storage_pads_off": 3, "moving_pads_on": 2}
    assert wrapped.payload == {"tag": "001", "moving_pads_on": 2}
    assert unpacked.uuid != wrapped.uuid


def test_one_form_has_many_buttons(hand: Client, accepted: Job) -> None:
    """Which of them was pressed tells one report from another, not only the form's own mark."""
    uuid = str(uuid4())
    for tag in ("001", "002", "001"):
        _tell(hand, accepted, _told("piece_loaded", tag=tag), uuid=uuid)
    assert [event.payload["tag"] for event in Event.objects.order_by("sequence")] == ["001", "002"]


def test_a_form_goes_back_to_its_page_and_to_no_other_site(hand: Client, accepted: Job) -> None:
    event = _told("vault_moved", **X9_MOVED)
    own = _tell(hand, accepted, event, next=f"/jobs/{accepted.id}/warehouse/")
    assert own["Location"] == f"/jobs/{accepted.id}/warehouse/"
    for wanted in ("https://elsewhere.invalid/", "//elsewhere.invalid/", "mine"):
        assert _tell(hand, accepted, event, next=wanted)["Location"] == "/mine/"


@pytest.mark.parametrize(
    "sent",
    [
        {},
        {"event": "no event", "uuid": SOME_UUID},
        {"event": '["list"]', "uuid": SOME_UUID},
        {"event": '{"kind": "eaten", "payload": {}}', "uuid": SOME_UUID},
        {"event": '{"kind": "vault_pulled", "payload": {"vault": "V1"}}', "uuid": "7"},
        {"event": '{"kind": "vault_pulled", "payload": {"vault": 7}}', "uuid": SOME_UUID},
    ],
    ids=["nothing", "no-json", "a-list", "unknown", "no-uuid", "wrong-field"],
)
def test_a_form_that_cannot_be_read_records_nothing(
    hand: Client, accepted: Job, sent: dict[str, str]
) -> None:
    address = reverse("jobs:tell", args=[accepted.id])
    text = hand.post(address, sent, headers=HTML, follow=True).content.decode()
    assert "could not be" in text
    assert not Event.objects.exists()


def test_a_stranger_reports_nothing(client: Client, accepted: Job, stranger: User) -> None:
    client.force_login(stranger)
    assert _tell(client, accepted, _told("vault_moved", **X9_MOVED)).status_code == 404
    assert not Event.objects.exists()


def test_a_report_is_taken_back_by_who_made_it(hand: Client, accepted: Job) -> None:
    _tell(hand, accepted, _told("vault_moved", **X9_MOVED))
    event = Event.objects.get()
    text = _text(hand, "/my-task/")
    assert "Reported last: vault set aside X9" in text
    assert escape(_told("undone", event=str(event.uuid))) in text
    _tell(hand, accepted, _told("undone", event=str(event.uuid)))
    assert Task.objects.get(key="move:X9").status == "ready"
    assert "Take it back" not in _text(hand, "/my-task/")


BATCH = {"who": 0, "clock_offset_ms": 0, "events": []}


def _batch(client: Client, job: Job, sent: object, status: int) -> dict[str, object]:
    address = reverse("jobs:batch", args=[job.id])
    response = client.post(address, json.dumps(sent), content_type="application/json")
    assert response.status_code == status
    return response.json()


def test_an_outbox_is_answered_event_by_event(
    hand: Client, accepted: Job, crew: dict[str, CrewMember]
) -> None:
    good = report("vault_moved", **X9_MOVED)
    sent = BATCH | {"who": crew["wim"].user_id, "events": [good, good, {"uuid": SOME_UUID}]}
    answers = _batch(hand, accepted, sent, 200)["answers"]
    assert [answer["answer"] for answer in answers] == ["recorded", "repeated", "refused"]
    assert [answer["uuid"] for answer in answers] == [good["uuid"], good["uuid"], SOME_UUID]
    assert "could not be recorded" in answers[2]["said"]
    assert [answer["what"] for answer in answers] == ["vault set aside"] * 2 + [""]


def test_an_outbox_is_kept_when_somebody_else_or_nobody_is_signed_in(
    hand: Client, client: Client, accepted: Job
) -> None:
    assert _batch(hand, accepted, BATCH | {"who": 1_000_000}, 409) == {"code": "somebody_else"}
    answer = _batch(client, accepted, BATCH, 401)
    assert answer == {"code": "sign_in"}


@pytest.mark.parametrize("sent", [None, [], {}, BATCH | {"events": {}}, "text"], ids=str)
def test_an_outbox_that_cannot_be_read_is_told(hand: Client, accepted: Job, sent: object) -> None:
    assert _batch(hand, accepted, sent, 400) == {"code": "malformed"}


def test_a_plan_is_asked_for_once_however_often_it_is_pressed(
    office: Client, job: Job, shipped: None
) -> None:
    address = reverse("jobs:plan", args=[job.id])
    sent = {"uuid": str(uuid4()), "budget_s": "3"}
    for _ in range(2):
        assert office.post(address, sent).status_code == 302
    run = PlanRun.objects.get()
    assert (str(run.id), run.budget_s, run.status) == (sent["uuid"], 3, "queued")
    assert "Planning." in _text(office, reverse("jobs:job", args=[job.id]))
    PlanRun.objects.update(pieces=7, pieces_placed=5, space_use=0.655)
    page = _text(office, reverse("jobs:job", args=[job.id]))
    assert "loads 5 of 7 pieces at 65.5 % space use" in page
    end = reverse("jobs:plan-end", args=[job.id, run.id])
    assert end in page
    for _ in range(2):
        assert office.post(end, {"end": "best"}).status_code == 302
    run.refresh_from_db()
    assert run.enough_at is not None
    office.post(end, {"end": "off"})
    run.refresh_from_db()
    assert run.status == "cancelled"
    assert office.post(end, {"end": "off"}).status_code == 302


def test_a_helper_ends_no_plan(hand: Client, accepted: Job) -> None:
    run = PlanRun.objects.get()
    address = reverse("jobs:plan-end", args=[accepted.id, run.id])
    assert hand.post(address, {"end": "off"}).status_code == 403


@pytest.mark.parametrize(
    "sent", [{}, {"uuid": "0b1e6a52-6c3f-4f0e-8a53-3d1f8f1c9a01", "budget_s": "0"}], ids=str
)
def test_a_plan_without_time_is_refused(office: Client, job: Job, sent: dict[str, str]) -> None:
    assert office.post(reverse("jobs:plan", args=[job.id]), sent).status_code == 400
    assert not PlanRun.objects.exists()


def test_what_makes_an_app_of_the_pages(client: Client, db: None) -> None:
    manifest = client.get(reverse("jobs:manifest"))
    assert manifest["Content-Type"] == "application/manifest+json"
    assert manifest.json()["start_url"] == "mine/"
    worker = client.get("/worker.js")
    assert worker["Content-Type"] == "text/javascript"
    for name in SHELL:
        assert f'"{static(name)}"' in worker.content.decode()
        assert finders.find(name), name
    assert "No network" in _text(client, "/offline/")


def test_a_loader_sees_what_is_in_and_what_is_next(
    accepted: Job, crew: dict[str, CrewMember], client: Client
) -> None:
    events = [report("piece_loaded", tag="001"), report("piece_missing", tag="004")]
    events_record(job=accepted, events=events, actor=crew["lou"].user, now=NOW)
    client.force_login(crew["lou"].user)
    text = _text(client, reverse("jobs:loader", args=[accepted.id]))
    told = {key: state for state, key in re.findall(r"is-(\w+)\" data-key=\"([^\"]+)", text)}
    assert told == {
        "001": "in",
        "002": "now",
        "003": "next",
        "fill 1": "next",
        "004": "cannot",
        "005": "later",
    }


def test_a_page_takes_the_same_number_of_queries_however_much_there_is(
    office: Client, accepted: Job, crew: dict[str, CrewMember], load: Load
) -> None:
    addresses = [
        "/days/2026-03-04/",
        *(reverse(f"jobs:{name}", args=[accepted.id]) for name in ("job", "loader", "warehouse")),
    ]
    for address in addresses:  # what is read of a plan once by each process does not count
        _queries(office, address)
    tasks_assign(job_id=accepted.id, now=NOW)  # work for the forklift that waits is asked about
    # Forecasts are worked out anew after each report, so there is one before either look.
    first = [report("piece_wrapped", tag="001")]
    events_record(job=accepted, events=first, actor=crew["hanne"].user, now=NOW)
    before = [_queries(office, address) for address in addresses]
    for n in range(3):
        crew_member_put(
            job=accepted, user=make_person(accepted.branch, f"p{n}", "helper"), part="helper"
        )
    events = [report("piece_loaded", tag=f"00{n}") for n in range(1, 6)]
    events_record(job=accepted, events=events, actor=crew["lou"].user, now=NOW)
    tasks_assign(job_id=accepted.id, now=NOW)
    assert [_queries(office, address) for address in addresses] == before


def _queries(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address, headers=HTML).status_code == 200
    return len(captured)


def test_what_goes_back_is_told_as_put_back(office: Client, job: Job, load: Load) -> None:
    """001 comes out of V1, which stands open, and goes back in: it does not come to the dock."""
    out, back = ({"do": do, "tag": "001"} for do in ("unpack", "return"))
    n = next(n for n, step in enumerate(PLAN["steps"]) if step["do"] == "unpack")
    steps = [*PLAN["steps"][:n], out, back, *PLAN["steps"][n:]]
    plan = store_plan(load, PLAN | {"steps": steps})
    job_accept_plan(job=job, plan=plan, by=None, now=NOW)
    text = _text(office, reverse("jobs:warehouse", args=[job.id]))
    entry = text[text.index('data-finish="piece_returned"') :].partition("</li>")[0]
    assert "dock → vault V1" in entry
    assert "It is put back" in entry
    assert "piece_returned" in entry.partition("data-tell")[2]
    assert "piece_fetched" not in entry


def test_a_damaged_vault_is_noted_on_the_jobs_page(
    office: Client, accepted: Job, dispatcher: User
) -> None:
    told = [report("vault_damaged", vault="V1", note="skid broken")]
    events_record(job=accepted, events=told, actor=dispatcher, now=NOW)
    text = _text(office, reverse("jobs:job", args=[accepted.id]))
    assert '<span class="tag">V1</span> skid broken' in text
