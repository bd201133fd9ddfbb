"""Reporting for people without a phone: what the crew has in hand, and whose report it is."""

import json
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape

from inventory.models import User
from jobs.folding.finishing import FINISHED_BY, subject_of
from jobs.middleware import COOKIE
from jobs.models import Assignment, CrewMember, Event, Job, Task
from jobs.selectors.boards import hands_board
from jobs.services import events_record, pairing_create, pairing_take, tasks_assign
from tests.jobs.reports import report
from tests.jobs.stage import NOW

HTML = {"Accept": "text/html"}


@pytest.fixture
def at_work(accepted: Job, crew: dict[str, CrewMember]) -> Job:
    """The chest of drawers stands on the dock floor: Hanne and Hugo have a task each."""
    events = [
        report("vault_moved", vault="X9", lane="L2"),
        report("vault_pulled", vault="V1"),
        report("piece_unpacked", tag="001"),
    ]
    events_record(job=accepted, events=events, actor=crew["wim"].user, now=NOW)
    tasks_assign(job_id=accepted.id, now=NOW)
    return accepted


def _in_hand(member: CrewMember) -> Task:
    return Assignment.objects.get(member=member, ended_at__isnull=True).task


def _paired(member: CrewMember, client: Client | None = None) -> str:
    """Pair a phone; the address under which its pages lie."""
    now = timezone.now()
    _, code = pairing_create(member=member, by=None, now=now)
    device, token = pairing_take(code=code, label="a phone", now=now)
    if client:
        client.cookies[COOKIE] = token
    return f"/w/{device.pk}"


def _address(job: Job) -> str:
    return reverse("jobs:hands", args=[job.id])


def test_the_foreman_sees_who_has_what(
    client: Client, at_work: Job, crew: dict[str, CrewMember]
) -> None:
    client.force_login(crew["lou"].user)
    text = client.get(_address(at_work)).content.decode()
    for name in ("hanne", "hugo"):
        task = _in_hand(crew[name])
        assert f"{name}</strong>" in text
        assert f'data-subject="{task.tag}"' in text
    assert "Nothing to do:" in text


def test_people_without_a_phone_come_first(at_work: Job, crew: dict[str, CrewMember]) -> None:
    before = [one.card.others[0].username for one in hands_board(job=at_work, now=NOW).in_hand]
    _paired(crew[before[0]])
    board = hands_board(job=at_work, now=NOW)
    assert [one.card.others[0].username for one in board.in_hand] == before[::-1]
    assert [one.without_phone for one in board.in_hand] == [True, False]
    assert {member.user.username for member in board.free} == {"lou", "wim"}


def test_a_task_is_reported_for_somebody_else(
    client: Client, at_work: Job, crew: dict[str, CrewMember]
) -> None:
    task = _in_hand(crew["hanne"])
    client.force_login(crew["lou"].user)
    event = json.dumps({"kind": FINISHED_BY[task.kind].value, "payload": subject_of(task)})
    assert escape(event) in client.get(_address(at_work)).content.decode()
    sent = {"event": event, "uuid": str(uuid4()), "next": _address(at_work)}
    for _ in range(2):
        answer = client.post(reverse("jobs:tell", args=[at_work.id]), sent, headers=HTML)
        assert answer["Location"] == _address(at_work)
    # Lou has told of it; Hanne has done it.
    assert Event.objects.filter(actor=crew["lou"].user).count() == 1
    ended = Assignment.objects.get(task=task)
    assert (ended.member, ended.ending) == (crew["hanne"], Assignment.Ending.DONE)


def test_a_shared_phone_shows_the_crew_of_its_job(
    client: Client, at_work: Job, crew: dict[str, CrewMember]
) -> None:
    base = _paired(crew["lou"], client)
    text = client.get(base + _address(at_work)).content.decode()
    assert f"{base}/jobs/{at_work.pk}/tell/" in text
    assert "hanne</strong>" in text


def test_the_crew_of_another_branch_is_not_found(
    client: Client, at_work: Job, stranger: User
) -> None:
    client.force_login(stranger)
    assert client.get(_address(at_work), headers=HTML).status_code == 404


def test_nobody_sees_it_without_signing_in(client: Client, at_work: Job) -> None:
    assert client.get(_address(at_work), headers=HTML).status_code == 302
