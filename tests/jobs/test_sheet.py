"""A printed sheet that is typed in afterwards: times, pads, sent twice, sent late."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.models import User
from jobs.models import CrewMember, Event, Job, Task
from jobs.selectors.boards import sheet_board
from jobs.services import events_record, tasks_assign
from jobs.services.events import BATCH_LIMIT
from jobs.services.sheets import SheetLine, sheet_record
from tests.jobs.reports import report
from tests.jobs.stage import DAY, NOW

HTML = {"Accept": "text/html"}
ZONE = ZoneInfo("America/Chicago")

Line = dict[str, str]


@pytest.fixture
def office(client: Client, dispatcher: User, accepted: Job) -> Client:
    client.force_login(dispatcher)
    return client


def _line(job: Job, key: str, at: str = "", pads: str = "", *, done: bool = True) -> Line:
    told = {"task": str(job.tasks.get(key=key).id), "uuid": str(uuid4()), "at": at, "pads": pads}
    return {**told, "done": "on"} if done else told


def _send(client: Client, job: Job, lines: Sequence[Line], day: str = str(DAY)) -> Any:
    sent = {"day": day, "line-TOTAL_FORMS": str(len(lines)), "line-INITIAL_FORMS": str(len(lines))}
    for number, line in enumerate(lines):
        sent |= {f"line-{number}-{name}": value for name, value in line.items()}
    return client.post(reverse("jobs:sheet", args=[job.id]) + "?part=0", sent, headers=HTML)


def _moment(hour: int, minute: int) -> datetime:
    return datetime(DAY.year, DAY.month, DAY.day, hour, minute, tzinfo=ZONE)


def test_ticked_lines_become_events_of_their_own_times(office: Client, accepted: Job) -> None:
    lines = [
        _line(accepted, "move:X9", "06:10"),
        _line(accepted, "pull:V1"),
        _line(accepted, "unpack:001", "06:30", "3"),
        _line(accepted, "wrap:001", "06:20", done=False),
    ]
    assert _send(office, accepted, lines).status_code == 302
    told = [(e.kind, e.payload, e.happened_at) for e in Event.objects.order_by("sequence")]
    unpacked = {"tag": "001", "storage_pads_off": 3, "moving_pads_on": 0}
    assert told == [
        ("vault_moved", {"vault": "X9", "lane": "L2"}, _moment(6, 10)),
        ("vault_pulled", {"vault": "V1"}, _moment(6, 10)),
        ("piece_unpacked", unpacked, _moment(6, 30)),
    ]
    assert [str(e.uuid) for e in Event.objects.order_by("sequence")] == [
        line["uuid"] for line in lines[:3]
    ]
    done = accepted.tasks.filter(status=Task.Status.DONE).values_list("key", flat=True)
    assert set(done) == {"move:X9", "pull:V1", "unpack:001"}


def test_lines_are_told_in_the_order_in_which_they_happened(office: Client, accepted: Job) -> None:
    _send(
        office, accepted, [_line(accepted, "pull:V1", "07:00"), _line(accepted, "move:X9", "06:00")]
    )
    assert [event.kind for event in Event.objects.order_by("sequence")] == [
        "vault_moved",
        "vault_pulled",
    ]
    assert not Event.objects.filter(outcome=Event.Outcome.CONFLICT).exists()


def test_a_sheet_that_is_sent_again_counts_once(office: Client, accepted: Job) -> None:
    lines = [_line(accepted, "move:X9", "06:10")]
    for _ in range(2):
        assert _send(office, accepted, lines).status_code == 302
    assert Event.objects.count() == 1


def test_a_line_that_was_sent_and_then_changed_is_refused_and_said(
    office: Client, accepted: Job
) -> None:
    line = _line(accepted, "move:X9", "06:10")
    _send(office, accepted, [line])
    _send(office, accepted, [{**line, "at": "06:15"}])
    assert Event.objects.get().happened_at == _moment(6, 10)
    page = office.get(reverse("jobs:sheet", args=[accepted.id])).content.decode()
    assert "could not be recorded" in page


def test_what_a_phone_reported_meanwhile_is_kept_as_a_contradiction(
    office: Client, accepted: Job, crew: dict[str, CrewMember]
) -> None:
    told = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    events_record(job=accepted, events=told, actor=crew["wim"].user, now=NOW)
    assert _send(office, accepted, [_line(accepted, "pull:V1", "06:10")]).status_code == 302
    late = Event.objects.latest("sequence")
    assert (late.outcome, late.conflict) == ("conflict", "known_already")
    assert accepted.tasks.get(key="pull:V1").status == Task.Status.DONE


def test_whoever_has_the_task_lets_go_of_it(
    office: Client, accepted: Job, crew: dict[str, CrewMember]
) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    task = accepted.tasks.get(key="move:X9")
    assert task.assignments.get().member == crew["wim"]
    _send(office, accepted, [_line(accepted, "move:X9", "06:10")])
    assert task.assignments.get().ending == "done"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"at": ""}, "The first line that is ticked needs a time."),
        ({"at": "25:00"}, "Enter a valid time."),
        ({"pads": "1000"}, "less than or equal to 999"),
        ({"task": str(UUID(int=7))}, "this job does not have"),
        ({"done": ""}, "Tick the lines that are done first."),
    ],
    ids=["no-time", "no-such-time", "pads", "task", "nothing"],
)
def test_a_sheet_with_a_fault_says_so_and_records_nothing(
    office: Client, accepted: Job, change: Line, said: str
) -> None:
    answer = _send(office, accepted, [{**_line(accepted, "move:X9", "06:10"), **change}])
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Event.objects.exists()


def test_a_fault_costs_nothing_that_was_typed(office: Client, accepted: Job) -> None:
    lines = [_line(accepted, "move:X9", "06:10"), _line(accepted, "pull:V1", "25:00")]
    text = _send(office, accepted, lines).content.decode()
    assert all(line["uuid"] in text and f'value="{line["at"]}"' in text for line in lines)
    assert text.count(" checked") == len(lines)


def test_a_time_that_has_not_come_yet_is_refused(office: Client, accepted: Job) -> None:
    tomorrow = timezone.now().astimezone(ZONE) + timedelta(days=1)
    answer = _send(office, accepted, [_line(accepted, "move:X9", "06:10")], str(tomorrow.date()))
    assert "This time has not come yet." in answer.content.decode()
    assert not Event.objects.exists()


def test_the_page_shows_a_tier_at_a_time(office: Client, accepted: Job) -> None:
    assert sheet_board(job=accepted).parts == [0, 1, 2]
    address = reverse("jobs:sheet", args=[accepted.id])
    vaults = office.get(address).content.decode()
    assert "chest of drawers" not in vaults
    first = office.get(f"{address}?part=1").content.decode()
    assert "chest of drawers" in first
    assert "sofa" not in first
    assert "Nothing is open in this part." in office.get(f"{address}?part=7").content.decode()


def test_pads_are_those_of_the_plan(accepted: Job) -> None:
    lines = sheet_board(job=accepted, part=1).lines
    pads = {line.task.key: line.pads for line in lines if line.pads is not None}
    assert pads == {
        "unpack:001": 3,
        "wrap:001": 2,
        "fill:1": 1,
        **{f"unpack:{tag}": 0 for tag in ("002", "003", "004", "005")},
    }


def test_more_lines_than_a_batch_holds_are_recorded(accepted: Job, dispatcher: User) -> None:
    task = accepted.tasks.get(key="move:X9")
    many = [SheetLine(task, uuid4(), NOW, None) for _ in range(BATCH_LIMIT + 1)]
    answers = sheet_record(job=accepted, lines=many, actor=dispatcher, now=NOW)
    assert len(answers) == Event.objects.count() == BATCH_LIMIT + 1


def test_a_job_without_tasks_says_so(client: Client, dispatcher: User, job: Job) -> None:
    client.force_login(dispatcher)
    page = client.get(reverse("jobs:sheet", args=[job.id])).content.decode()
    assert "No task is open." in page


def test_who_may_not_report_types_nothing_in(client: Client, accepted: Job, stranger: User) -> None:
    lines = [_line(accepted, "move:X9", "06:10")]
    assert _send(client, accepted, lines).status_code == 302
    client.force_login(stranger)
    assert _send(client, accepted, lines).status_code == 404
    assert not Event.objects.exists()
