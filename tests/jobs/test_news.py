"""What is told to people: new plans on the floor's pages, alerts, versions, who is where."""

from copy import deepcopy
from datetime import timedelta
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from inventory.models import User
from jobs.models import CrewMember, Job, Replan
from jobs.selectors.boards import DayLine, day_board
from jobs.services import events_record, pairing_create, pairing_take, tasks_assign
from loading.models import Load, LoadPlan
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN
from tests.jobs.stage import DAY, NOW, store_plan

SENTENCE = "Vault V2 was not found: the rest of the plan stays as it is."


def _replan(job: Job, **more: Any) -> Replan:
    values = {"causes": ["vault_not_found V2"], "asked_at": NOW, "finished_at": NOW}
    return Replan.objects.create(job=job, **{**values, "status": "kept", **more})


@pytest.fixture
def hanne(crew: dict[str, CrewMember]) -> Client:
    client = Client()
    client.force_login(crew["hanne"].user)
    return client


def _floor_pages(job: Job) -> list[str]:
    return [
        "/my-task/",
        *(reverse(f"jobs:{name}", args=[job.id]) for name in ("loader", "warehouse")),
    ]


def _seen(client: Client, job: Job, until: object) -> HttpResponse:
    address = reverse("jobs:notices-seen", args=[job.id])
    return client.post(address, {"until": until, "next": "/my-task/"})


def test_a_new_plan_is_told_on_every_floor_page_until_it_is_tapped_away(
    hanne: Client, accepted: Job
) -> None:
    _replan(accepted)
    for address in _floor_pages(accepted):
        answer = hanne.get(address)
        assert SENTENCE in answer.content.decode()
    response = _seen(hanne, accepted, answer.context["notices"].until)
    assert response["Location"] == "/my-task/"
    for address in _floor_pages(accepted):
        assert SENTENCE not in hanne.get(address).content.decode()
    later = NOW + timedelta(minutes=1)
    _replan(accepted, causes=["piece_missing 003"], asked_at=later, finished_at=later)
    text = hanne.get("/my-task/").content.decode()
    assert "Piece 003 is missing" in text
    assert SENTENCE not in text


def test_a_moment_that_is_none_changes_nothing(hanne: Client, accepted: Job) -> None:
    _replan(accepted)
    for until in ("", "-1", "yesterday", "9" * 40):
        assert _seen(hanne, accepted, until).status_code == 302
        assert SENTENCE in hanne.get("/my-task/").content.decode()


def test_a_stranger_has_no_notices(client: Client, accepted: Job, stranger: User) -> None:
    client.force_login(stranger)
    assert _seen(client, accepted, 1).status_code == 404


def _line(user: User, **later: int) -> DayLine:
    [line] = day_board(user=user, day=DAY, now=NOW + timedelta(**later))
    return line


def _kinds(line: DayLine) -> list[str]:
    return [alert.kind for alert in line.alerts]


def test_a_replan_is_an_alert_while_it_runs_and_half_an_hour_after(
    accepted: Job, dispatcher: User
) -> None:
    running = _replan(accepted, status="asked", finished_at=None)
    assert _kinds(_line(dispatcher)) == ["replanning"]
    running.delete()
    _replan(accepted, status="overtaken")
    assert _kinds(_line(dispatcher)) == []
    _replan(accepted)
    [alert] = _line(dispatcher).alerts
    assert (alert.kind, alert.subject) == ("replanned", SENTENCE)
    assert _kinds(_line(dispatcher, minutes=31)) == []


def test_a_full_dock_is_an_alert_when_the_warehouse_waits_for_it(
    accepted: Job, dispatcher: User, crew: dict[str, CrewMember]
) -> None:
    events = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    events_record(job=accepted, events=events, actor=dispatcher, now=NOW)
    assert "dock_full" in _kinds(_line(dispatcher))
    crew["wim"].active = False
    crew["wim"].save()
    assert "dock_full" not in _kinds(_line(dispatcher))


def test_a_vault_that_cannot_be_reached_is_an_alert(accepted: Job, dispatcher: User) -> None:
    events = [report("vault_blocked", vault="V2", note="a rack stands before it")]
    events_record(job=accepted, events=events, actor=dispatcher, now=NOW)
    assert "vault_blocked" in _kinds(_line(dispatcher))


def test_late_jobs_are_told_apart(accepted: Job, dispatcher: User) -> None:
    assert not _line(dispatcher).is_late
    assert _line(dispatcher, hours=5).is_late


def test_who_is_signed_in_where(
    accepted: Job, dispatcher: User, crew: dict[str, CrewMember]
) -> None:
    _, code = pairing_create(member=crew["lou"], by=dispatcher, now=NOW)
    pairing_take(code=code, label="Lou's phone", now=NOW)
    events = [report("piece_loaded", tag="001")]
    events_record(job=accepted, events=events, actor=crew["hanne"].user, now=NOW)
    lines = {one.member.user.username: one for one in _line(dispatcher).crew}
    phone = lines["lou"].phone
    assert phone is not None
    assert phone.label == "Lou's phone"
    assert (lines["lou"].heard_at, lines["hanne"].heard_at) == (None, NOW)
    assert lines["hanne"].phone is None
    phone.revoked_at = NOW
    phone.save()
    assert {one.phone for one in _line(dispatcher).crew} == {None}


@pytest.fixture
def second(load: Load, plan: LoadPlan) -> LoadPlan:
    """A version in which the mattress goes into tier 1 and the lamp carton stays behind."""
    document = deepcopy(PLAN)
    for placed in document["placements"]:
        if placed["tag"] == "007":
            placed["tier"] = 1
        if placed["tag"] == "004":
            placed["at_mm"] = [0, 950, 500]
    document["placements"] = [p for p in document["placements"] if p["tag"] != "005"]
    document["steps"] = [s for s in document["steps"] if s.get("tag") != "005"]
    document["left_off"] = [{"tag": "005", "reason": "no room"}]
    return store_plan(load, document)


def test_two_versions_are_compared(
    client: Client, accepted: Job, dispatcher: User, second: LoadPlan
) -> None:
    client.force_login(dispatcher)
    address = reverse("jobs:versions", args=[accepted.id])
    answer = client.get(address, {"former": 1, "version": second.version})
    board = answer.context["board"]
    assert [(p.tag, p.before, p.after) for p in board.pieces] == [("005", 1, None), ("007", 2, 1)]
    assert (board.same_tier, board.kept, board.pull_order_changed) == (("004",), 4, False)
    before, after = board.figures
    assert (before.pieces, after.pieces, after.left_off) == (7, 6, 1)
    # In litres: 497 + 165 + 135 + 132 + 108 in tier 1, 1476 + 600 in tier 2, of 18 x 20 x 22 dm.
    assert round(before.space_use, 1) == 39.3
    assert "left behind" in answer.content.decode()
    assert address in client.get(reverse("jobs:job", args=[accepted.id])).content.decode()


@pytest.mark.parametrize(
    ("asked", "status"),
    [({}, 400), ({"former": "x", "version": 1}, 400), ({"former": 1, "version": 9}, 404)],
)
def test_versions_that_there_are_not(
    client: Client, accepted: Job, dispatcher: User, asked: dict[str, Any], status: int
) -> None:
    client.force_login(dispatcher)
    address = reverse("jobs:versions", args=[accepted.id])
    assert client.get(address, asked, headers={"Accept": "text/html"}).status_code == status


def test_versions_of_another_branch_are_not_found(
    client: Client, accepted: Job, stranger: User
) -> None:
    client.force_login(stranger)
    address = reverse("jobs:versions", args=[accepted.id])
    assert client.get(address, {"former": 1, "version": 1}).status_code == 404


def test_alerts_and_crew_are_shown(
    client: Client, accepted: Job, dispatcher: User, crew: dict[str, CrewMember]
) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    events = [
        report("vault_moved", vault="X9", lane="L2"),
        report("vault_pulled", vault="V1"),
        report("vault_blocked", vault="V2", note="a rack stands before it"),
    ]
    events_record(job=accepted, events=events, actor=crew["wim"].user, now=NOW)
    client.force_login(dispatcher)
    text = client.get(reverse("jobs:job", args=[accepted.id])).content.decode()
    for told in (
        "Vault V2 cannot be reached.",
        "The dock is full and the warehouse waits: 1.",
        "last report",
    ):
        assert told in text
    assert "lou has nothing to load." in text
