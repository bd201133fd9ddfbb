"""The pages: they work, only for whom they are, and bad input gets a sentence."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Hold, User
from jobs.models import Assignment, CrewMember, Event, Job, Task
from jobs.services import events_record, job_accept_plan, tasks_assign
from loading.models import LoadPlan, PlanRun
from tests.jobs.reports import report
from tests.jobs.stage import DAY, NOW

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
    assert "standing" in text
    assert "<svg" in text


def test_done_is_reported_once_however_often_it_is_pressed(hand: Client, accepted: Job) -> None:
    task = Task.objects.get(key="move:X9")
    address = reverse("jobs:report", args=[accepted.id, task.id])
    sent = {"said": "done", "uuid": str(uuid4())}
    for _ in range(2):
        response = hand.post(address, sent, headers=HTML)
        assert response.status_code == 302
        assert response["Location"] == "/my-task/?looked=0"
    event = Event.objects.get()
    assert (event.kind, event.payload) == ("vault_moved", {"vault": "X9", "lane": "L2"})
    task.refresh_from_db()
    assert task.status == "done"


def test_the_page_looks_again_a_few_times_after_a_report(
    client: Client, accepted: Job, crew: dict[str, CrewMember]
) -> None:
    client.force_login(crew["lou"].user)
    assert client.get("/my-task/?looked=0")["Refresh"] == "2; url=/my-task/?looked=1"
    assert "Refresh" not in client.get("/my-task/?looked=3")
    assert "Refresh" not in client.get("/my-task/?looked=rubbish")
    assert "Refresh" not in client.get("/my-task/")


def test_a_vault_that_is_not_there_is_reported(hand: Client, accepted: Job) -> None:
    task = Task.objects.get(key="move:X9")
    address = reverse("jobs:report", args=[accepted.id, task.id])
    hand.post(address, {"said": "not_found", "uuid": str(uuid4())})
    assert Event.objects.get().kind == "vault_not_found"


@pytest.mark.parametrize(
    "sent",
    [
        {},
        {"said": "eaten", "uuid": "0b1e6a52-6c3f-4f0e-8a53-3d1f8f1c9a01"},
        {"said": "done", "uuid": "7"},
        {"said": "done", "uuid": "0b1e6a52-6c3f-4f0e-8a53-3d1f8f1c9a01", "pads": "-1"},
    ],
    ids=str,
)
def test_a_report_that_cannot_be_read_is_told(
    hand: Client, accepted: Job, sent: dict[str, str]
) -> None:
    task = Task.objects.get(key="move:X9")
    address = reverse("jobs:report", args=[accepted.id, task.id])
    assert hand.post(address, sent, headers=HTML).status_code == 422
    assert not Event.objects.exists()


def test_a_report_that_makes_no_sense_for_its_task_is_told(hand: Client, accepted: Job) -> None:
    task = Task.objects.get(key="move:X9")
    address = reverse("jobs:report", args=[accepted.id, task.id])
    response = hand.post(address, {"said": "missing", "uuid": str(uuid4())}, follow=True)
    assert "could not be recorded: payload.tag" in response.content.decode()
    assert not Event.objects.exists()


def test_a_stranger_reports_nothing(client: Client, accepted: Job, stranger: User) -> None:
    client.force_login(stranger)
    task = Task.objects.get(key="move:X9")
    address = reverse("jobs:report", args=[accepted.id, task.id])
    response = client.post(address, {"said": "done", "uuid": str(uuid4())}, headers=HTML)
    assert response.status_code == 404
    assert not Event.objects.exists()


def test_a_report_is_taken_back_once_by_who_made_it(
    hand: Client, accepted: Job, crew: dict[str, CrewMember], client: Client
) -> None:
    task = Task.objects.get(key="move:X9")
    done = {"said": "done", "uuid": str(uuid4())}
    hand.post(reverse("jobs:report", args=[accepted.id, task.id]), done)
    assert "vault moved X9" in _text(hand, "/my-task/")
    undo = reverse("jobs:undo", args=[done["uuid"]])
    client.force_login(crew["hugo"].user)
    assert client.post(undo, {"uuid": str(uuid4())}).status_code == 404
    sent = {"uuid": str(uuid4())}
    for _ in range(2):
        assert hand.post(undo, sent).status_code == 302
    assert list(Event.objects.values_list("kind", flat=True)) == ["vault_moved", "undone"]
    task.refresh_from_db()
    assert task.status == "ready"
    assert "Take it back" not in _text(hand, "/my-task/")


def test_an_undo_without_a_key_does_nothing(hand: Client, accepted: Job) -> None:
    task = Task.objects.get(key="move:X9")
    done = {"said": "done", "uuid": str(uuid4())}
    hand.post(reverse("jobs:report", args=[accepted.id, task.id]), done)
    hand.post(reverse("jobs:undo", args=[done["uuid"]]), {})
    assert Event.objects.count() == 1


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


@pytest.mark.parametrize(
    "sent", [{}, {"uuid": "0b1e6a52-6c3f-4f0e-8a53-3d1f8f1c9a01", "budget_s": "0"}], ids=str
)
def test_a_plan_without_time_is_refused(office: Client, job: Job, sent: dict[str, str]) -> None:
    assert office.post(reverse("jobs:plan", args=[job.id]), sent).status_code == 400
    assert not PlanRun.objects.exists()
