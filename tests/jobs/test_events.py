"""What people did and saw is recorded once, folded, and moves the tasks on."""

import pytest
from django.db import InternalError, connection, transaction
from django.db.utils import IntegrityError, OperationalError

from inventory.models import Branch, Device, User
from jobs.errors import BatchTooLarge
from jobs.folding import EventKind, Malformed, read_event
from jobs.folding.kinds import FIELDS
from jobs.models import Assignment, CrewMember, Event, Job, JobState, Task
from jobs.services import EventAnswer, events_record, job_close, tasks_assign
from tests.jobs.reports import report, report_done, sample_payload
from tests.jobs.stage import NOW, account_for_all


def _record(job: Job, actor: User, *events: object, **more: object) -> list[EventAnswer]:
    return events_record(job=job, events=events, actor=actor, now=NOW, **more)


def _answers(answers: list[EventAnswer]) -> list[tuple[str, str]]:
    return [(answer.answer, answer.code) for answer in answers]


def test_an_event_is_recorded_once_however_often_it_arrives(
    accepted: Job, dispatcher: User
) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    first = _record(accepted, dispatcher, moved, moved)
    again = _record(accepted, dispatcher, moved)
    assert _answers(first) == [("recorded", ""), ("repeated", "")]
    assert _answers(again) == [("repeated", "")]
    assert [answer.sequence for answer in first + again] == [1, 1, 1]
    assert Event.objects.count() == 1


def test_the_same_uuid_with_other_content_is_refused(accepted: Job, dispatcher: User) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    _record(accepted, dispatcher, moved)
    other = moved | {"payload": {"vault": "X9", "lane": "L1"}}
    rubbish = moved | {"kind": "nonsense"}
    assert _answers(_record(accepted, dispatcher, other, rubbish)) == [
        ("refused", "uuid_reused"),
        ("refused", "uuid_reused"),
    ]
    assert Event.objects.get().payload == {"vault": "X9", "lane": "L2"}


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"uuid": "7"}, "uuid"),
        ({"kind": "vault_eaten"}, "kind"),
        ({"kind": ["vault_pulled"]}, "kind"),
        ({"version": 2}, "version"),
        ({"happened_at": "yesterday"}, "happened_at"),
        ({"happened_at": "2026-03-04T12:00:00"}, "happened_at"),
        ({"payload": []}, "payload"),
        ({"payload": {}}, "payload.vault"),
        ({"payload": {"vault": ""}}, "payload.vault"),
        ({"payload": {"vault": 5}}, "payload.vault"),
        ({"payload": {"vault": "V1", "shipper": "a name"}}, "payload.shipper"),
    ],
    ids=str,
)
def test_what_cannot_be_read_is_refused_and_the_rest_recorded(
    accepted: Job, dispatcher: User, change: dict[str, object], named: str
) -> None:
    answers = _record(
        accepted,
        dispatcher,
        report("vault_pulled", vault="V1") | change,
        report("piece_missing", tag="001"),
    )
    assert _answers(answers) == [("refused", "malformed"), ("recorded", "")]
    assert answers[0].detail.startswith(named)
    assert Event.objects.count() == 1


def test_rubbish_is_refused(accepted: Job, dispatcher: User) -> None:
    assert _answers(_record(accepted, dispatcher, "rubbish", None)) == [
        ("refused", "malformed"),
        ("refused", "malformed"),
    ]


def test_a_batch_is_taken_up_to_two_hundred(accepted: Job, dispatcher: User) -> None:
    events = [report("piece_missing", tag="001") for _ in range(201)]
    with pytest.raises(BatchTooLarge):
        _record(accepted, dispatcher, *events)
    assert not Event.objects.exists()
    assert len(_record(accepted, dispatcher, *events[:200])) == 200


def test_who_may_not_report_is_refused_but_told_what_is_known(
    accepted: Job, dispatcher: User, stranger: User
) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    _record(accepted, dispatcher, moved)
    answers = _record(accepted, stranger, moved, report("vault_pulled", vault="V1"))
    assert _answers(answers) == [("repeated", ""), ("refused", "not_permitted")]


def test_a_revoked_device_reports_nothing(accepted: Job, dispatcher: User, branch: Branch) -> None:
    device = Device.objects.create(
        branch=branch, label="tablet", token_hash="x", paired_at=NOW, revoked_at=NOW
    )
    answers = _record(accepted, dispatcher, report("vault_pulled", vault="V1"), device=device)
    assert _answers(answers) == [("refused", "not_permitted")]


def test_a_closed_job_takes_nothing_new(accepted: Job, dispatcher: User) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    _record(accepted, dispatcher, moved)
    account_for_all(accepted, dispatcher)
    job_close(job=accepted, now=NOW)
    answers = _record(accepted, dispatcher, moved, report("vault_pulled", vault="V1"))
    assert _answers(answers) == [("repeated", ""), ("refused", "job_closed")]


@pytest.mark.parametrize(
    ("event", "code"),
    [
        (report("piece_loaded", tag="999"), "not_in_plan"),
        (report("vault_pulled", vault="V7"), "not_in_plan"),
        (report("tier_closed", tier=9), "not_in_plan"),
        (report("fill_placed", fill=9, pads=1), "not_in_plan"),
        (report("task_begun", task="load:999"), "not_in_plan"),
        (report("piece_loaded", tag="006"), "out_of_order"),
        (report("tier_closed", tier=1), "out_of_order"),
        (report("vault_cleared", vault="V1"), "out_of_order"),
    ],
    ids=lambda value: value if isinstance(value, str) else value["kind"],
)
def test_what_contradicts_the_plan_is_recorded_as_a_conflict(
    accepted: Job, dispatcher: User, event: dict[str, object], code: str
) -> None:
    assert _answers(_record(accepted, dispatcher, event)) == [("conflict", code)]
    assert Event.objects.get().conflict == code


def test_a_vault_may_go_away_with_what_somebody_leaves_in_it(
    accepted: Job, dispatcher: User
) -> None:
    inside = [line.tag for line in accepted.tasks.filter(kind="unpack", vault="V1")]
    left = [report("piece_left", tag=tag, note="called off") for tag in inside]
    answers = _record(accepted, dispatcher, *left, report("vault_cleared", vault="V1"))
    assert inside
    assert {code for _, code in _answers(answers)} == {""}


@pytest.mark.parametrize(
    ("kind", "payload"),
    [
        ("piece_unpacked", {"tag": "001"}),
        ("piece_wrapped", {"tag": "001"}),
        ("piece_carried", {"tag": "001"}),
        ("piece_loaded", {"tag": "001"}),
        ("vault_pulled", {"vault": "V1"}),
        ("fill_placed", {"fill": 1}),
    ],
)
def test_what_somebody_else_reported_already_is_a_conflict(
    accepted: Job, dispatcher: User, kind: str, payload: dict[str, object]
) -> None:
    answers = _record(accepted, dispatcher, report(kind, **payload), report(kind, **payload))
    assert _answers(answers) == [("recorded", ""), ("conflict", "known_already")]


def test_pads_are_counted_once(accepted: Job, dispatcher: User) -> None:
    unpacked = [
        report("piece_unpacked", tag="001", storage_pads_off=off, moving_pads_on=0)
        for off in (3, 4)
    ]
    _record(accepted, dispatcher, *unpacked)
    assert JobState.objects.get().state["pieces"]["001"]["storage_pads_off"] == 3
    _record(accepted, dispatcher, report("undone", event=unpacked[0]["uuid"]))
    assert JobState.objects.get().state["pieces"]["001"]["storage_pads_off"] == 4


def test_a_late_event_never_moves_a_piece_back(accepted: Job, dispatcher: User) -> None:
    _record(accepted, dispatcher, report("piece_loaded", tag="001"))
    _record(accepted, dispatcher, report("piece_unpacked", tag="001", storage_pads_off=3))
    piece = JobState.objects.get().state["pieces"]["001"]
    assert (piece["stage"], piece["storage_pads_off"]) == (3, 3)


def test_an_undo_that_arrives_first_counts(accepted: Job, dispatcher: User) -> None:
    loaded = report("piece_loaded", tag="001")
    _record(accepted, dispatcher, report("undone", event=loaded["uuid"]))
    assert _answers(_record(accepted, dispatcher, loaded)) == [("recorded", "")]
    assert "001" not in JobState.objects.get().state["pieces"]
    assert Task.objects.get(key="load:001").status == "waiting"


def test_an_undo_makes_the_task_ready_again(accepted: Job, dispatcher: User) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    _record(accepted, dispatcher, moved)
    assert Task.objects.get(key="pull:V1").status == "ready"
    _record(accepted, dispatcher, report("undone", event=moved["uuid"]))
    assert Task.objects.get(key="move:X9").status == "ready"
    assert Task.objects.get(key="pull:V1").status == "waiting"


def test_a_missing_piece_holds_nobody_up(accepted: Job, dispatcher: User) -> None:
    _record(
        accepted,
        dispatcher,
        report("vault_moved", vault="X9", lane="L2"),
        report("vault_pulled", vault="V1"),
        report("piece_missing", tag="001"),
    )
    statuses = dict(accepted.tasks.values_list("key", "status"))
    assert statuses["load:001"] == "withdrawn"
    assert statuses["unpack:002"] == "ready"


def test_what_does_not_fit_stays_on_the_floor(accepted: Job, dispatcher: User) -> None:
    _record(
        accepted,
        dispatcher,
        report("piece_unpacked", tag="001"),
        report("piece_does_not_fit", tag="001", note="door frame"),
    )
    statuses = dict(accepted.tasks.values_list("key", "status"))
    assert (statuses["unpack:001"], statuses["load:001"]) == ("done", "withdrawn")


def test_finishing_a_task_sends_the_next_assignment(
    accepted: Job,
    dispatcher: User,
    crew: dict[str, CrewMember],
    django_capture_on_commit_callbacks: object,
) -> None:
    with django_capture_on_commit_callbacks() as callbacks:
        _record(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    # One for the dispatch workers, one for the live screens.
    assert len(callbacks) == 2


def test_a_whole_job_is_done_by_events_alone(accepted: Job, crew: dict[str, CrewMember]) -> None:
    finished = []
    while True:
        tasks_assign(job_id=accepted.id, now=NOW)
        given = Assignment.objects.filter(ended_at=None).order_by("task__sequence")
        assert len({item.person_id for item in given}) == len(given)
        item = given.first()
        if item is None:
            break
        answers = _record(accepted, item.member.user, report_done(item.task))
        assert _answers(answers) == [("recorded", "")]
        finished.append(item.task.key)
    assert set(accepted.tasks.values_list("status", flat=True)) == {"done"}
    assert len(finished) == accepted.tasks.count()
    assert Event.objects.filter(outcome="conflict").count() == 0


def test_who_leaves_lets_go_of_the_task(accepted: Job, crew: dict[str, CrewMember]) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    held = Assignment.objects.get(task__key="fetch:007", member=crew["hanne"])
    _record(accepted, crew["hanne"].user, report("helper_off", member=crew["hanne"].pk))
    held.refresh_from_db()
    assert held.ending == "left"
    assert Task.objects.get(key="fetch:007").status == "ready"
    tasks_assign(job_id=accepted.id, now=NOW)
    assert not Assignment.objects.filter(member=crew["hanne"], ended_at=None).exists()
    _record(accepted, crew["hanne"].user, report("helper_on", member=crew["hanne"].pk))
    crew["hanne"].refresh_from_db()
    assert crew["hanne"].active


def test_begun_work_stays_with_who_began_it(accepted: Job, crew: dict[str, CrewMember]) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    _record(accepted, crew["wim"].user, report("task_begun", task="move:X9"))
    assert Task.objects.get(key="move:X9").status == "begun"
    assert not tasks_assign(job_id=accepted.id, now=NOW)


def test_vault_events_have_a_number_in_the_warehouse_too(accepted: Job, dispatcher: User) -> None:
    _record(
        accepted,
        dispatcher,
        report("piece_missing", tag="001"),
        report("vault_moved", vault="X9", lane="L2"),
        report("helper_off", member=1),
    )
    numbers = list(Event.objects.values_list("sequence", "also_stream__kind", "also_sequence"))
    assert numbers == [(1, None, None), (2, "warehouse", 1), (3, "day", 1)]


def test_the_clock_of_the_device_is_put_right(accepted: Job, dispatcher: User) -> None:
    _record(accepted, dispatcher, report("vault_pulled", vault="V1"), clock_offset_ms=90_000)
    event = Event.objects.get()
    assert (event.happened_at - event.happened_by_our_clock).total_seconds() == 90


def test_the_database_changes_and_removes_no_event(accepted: Job, dispatcher: User) -> None:
    _record(accepted, dispatcher, report("vault_pulled", vault="V1"))
    refusals = (IntegrityError, InternalError, OperationalError)
    with pytest.raises(refusals, match="never changed"), transaction.atomic():
        Event.objects.update(payload={})
    with pytest.raises(refusals, match="never changed"), transaction.atomic():
        Event.objects.all().delete()
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM jobs_event")
        assert cursor.fetchone() == (1,)


def test_every_reported_kind_can_be_read() -> None:
    for kind, fields in FIELDS.items():
        event = read_event(report(kind, **sample_payload(fields)), ours=True)
        assert not hasattr(event, "detail"), event


@pytest.mark.parametrize(
    ("kind", "change", "named"),
    [
        ("size_corrected", {"length_mm": 0}, "payload.length_mm"),
        ("weight_corrected", {"weight_g": "heavy"}, "payload.weight_g"),
        ("piece_loaded_elsewhere", {"posture": "leaning"}, "payload.posture"),
        ("piece_loaded_elsewhere", {"y_mm": -1}, "payload.y_mm"),
        ("job_paused", {"reason": "rain dance"}, "payload.reason"),
        ("seal_broken", {"intact": "yes"}, "payload.intact"),
        ("piece_taken_apart", {"parts": []}, "payload.parts"),
        ("piece_taken_apart", {"parts": [{}, {}]}, "payload.parts.0.name"),
        ("plan_published", {}, "kind"),
    ],
)
def test_a_field_that_cannot_be_is_named(kind: str, change: dict[str, object], named: str) -> None:
    payload = sample_payload(FIELDS[EventKind(kind)]) | change
    fault = read_event(report(kind, **payload))
    assert isinstance(fault, Malformed)
    assert fault.detail.startswith(named)
