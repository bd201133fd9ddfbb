"""What went otherwise than planned is planned anew from what has been done, and people are told."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import User
from jobs.errors import PlanHoldsNoLonger
from jobs.folding import State, empty_state
from jobs.models import CrewMember, Event, FloorPlan, Job, JobState, Replan, Task
from jobs.replanning import carried_over
from jobs.selectors.events import job_state_fresh
from jobs.selectors.floor_crew import member_key
from jobs.selectors.notices import job_notices
from jobs.services import (
    events_record,
    job_plan,
    job_plan_return,
    job_plan_take,
    replan_execute,
    replans_resend,
    tasks_assign,
)
from loading.models import LoadPlan
from loading.planner.checker import check_plan
from loading.planner.plan import LeftOff, Placement, Step, parse_plan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest, parse_request
from loading.services import plan_run_execute
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN
from tests.jobs.stage import NOW

Search = Callable[..., PlannedLoad]


def planner_that(*places: Placement, leaves: Sequence[str] = ()) -> Search:
    """A planner that goes on with the plan of the scenario, but for a few places of its own."""
    wanted = {place.tag: place for place in places}

    def search(request: LoadRequest, **_: Any) -> PlannedLoad:
        goes_on = carried_over(request, parse_plan(PLAN), empty_state())
        kept = [p for p in goes_on.placements if p.tag not in wanted and p.tag not in leaves]
        added = [tag for tag in wanted if not any(s.tag == tag for s in goes_on.steps)]
        steps = [s for s in goes_on.steps if s.do != "load" or s.tag not in leaves]
        fetched = {step.tag for step in steps if step.do == "fetch"}
        for tag in added:
            steps[-1:-1] = [] if tag in fetched else [Step("fetch", tag=tag)]
        loads = [Step("load", tag=tag) for tag in wanted if Step("load", tag=tag) not in steps]
        steps[-1:-1] = loads
        left = [left for left in goes_on.left_off if left.tag not in wanted]
        left += [LeftOff(tag, "left to the next truck") for tag in leaves]
        return replace(
            goes_on, steps=tuple(steps), placements=(*kept, *places), left_off=tuple(left)
        )

    return search


def noting(asked: list[dict[str, Any]], search: Search) -> Search:
    """The search; how it was asked is added to a list."""

    def noted(request: LoadRequest, **more: Any) -> PlannedLoad:
        asked.append(more)
        return search(request, **more)

    return noted


def place(tag: str, x_mm: int, depth_mm: int, width_mm: int, height_mm: int) -> Placement:
    return Placement(tag, 2, "base", (x_mm, 0, 0), (depth_mm, width_mm, height_mm), "standing")


def _tell(job: Job, actor: User, *events: dict[str, Any]) -> None:
    answers = events_record(job=job, events=events, actor=actor, now=NOW)
    assert {answer.answer for answer in answers} <= {"recorded", "conflict"}


def _replan(job: Job, search: Search, worker: str = "w1") -> Replan:
    asked = Replan.objects.get(job=job, status="asked")
    ticks = iter(range(1000))
    done = replan_execute(
        replan_id=asked.id, worker=worker, now=NOW, search=search, clock=lambda: next(ticks) / 100
    )
    assert done is not None
    return done


def _loaded(*tags: str) -> list[dict[str, Any]]:
    return [report("piece_loaded", tag=tag) for tag in tags]


def _size(tag: str, length_mm: int, width_mm: int, height_mm: int) -> dict[str, Any]:
    return report(
        "size_corrected", tag=tag, length_mm=length_mm, width_mm=width_mm, height_mm=height_mm
    )


def _found(tag: str) -> dict[str, Any]:
    size = {"length_mm": 2000, "width_mm": 300, "height_mm": 900}
    return report("piece_not_on_list", tag=tag, name="bed rail", weight_g=9000, **size)


MEASURED = place("007", 1500, 300, 1950, 1000)


@pytest.mark.parametrize(
    "event",
    [
        report("piece_missing", tag="007"),
        report("piece_does_not_fit", tag="007", note=""),
        report("vault_not_found", vault="V2"),
        report("vault_blocked", vault="V2", note=""),
        report("piece_taken_by_customer", tag="007", note=""),
        _size("007", 1950, 300, 1000),
        _found("901"),
    ],
    ids=lambda event: event["kind"],
)
def test_what_goes_otherwise_asks_for_a_replan_once(
    accepted: Job, dispatcher: User, event: dict[str, Any]
) -> None:
    _tell(accepted, dispatcher, event)
    events_record(job=accepted, events=[event], actor=dispatcher, now=NOW)
    assert Replan.objects.get().causes == [
        f"{event['kind']} {event['payload'].get('tag') or event['payload']['vault']}"
    ]


@pytest.mark.parametrize(
    "event",
    [report("vault_pulled", vault="V1"), report("piece_missing", tag="999")],
    ids=["as planned", "not in the plan"],
)
def test_what_changes_nothing_asks_for_none(
    accepted: Job, dispatcher: User, event: dict[str, Any]
) -> None:
    _tell(accepted, dispatcher, event)
    assert not Replan.objects.exists()


def test_causes_that_come_together_are_answered_together(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, report("piece_missing", tag="007"))
    _tell(accepted, dispatcher, _size("006", 1980, 880, 790))
    assert Replan.objects.get().causes == ["piece_missing 007", "size_corrected 006"]


def test_a_better_plan_is_published_at_once(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"), _found("901"))
    ended = _replan(accepted, planner_that(place("901", 1800, 300, 2000, 900)))
    accepted.refresh_from_db()
    assert ended.status == "published"
    assert accepted.plan is not None
    assert (accepted.plan.version, accepted.tasks_plan) == (2, accepted.plan)
    statuses = dict(accepted.tasks.values_list("key", "status"))
    assert (statuses["move:X9"], statuses["load:901"]) == ("done", "waiting")
    assert statuses["fetch:901"] == "done"  # it was found on the floor
    assert Event.objects.filter(kind="plan_published").get().payload["version"] == 2
    assert JobState.objects.get().state == job_state_fresh(job=accepted)


def test_the_plan_goes_on_from_what_has_been_done(accepted: Job, dispatcher: User) -> None:
    done = [
        report("vault_moved", vault="X9", lane="L2"),
        report("vault_pulled", vault="V1"),
        report("piece_unpacked", tag="001"),
        report("piece_loaded", tag="001"),
    ]
    _tell(accepted, dispatcher, *done, _size("007", 1950, 300, 1000))
    ended = _replan(accepted, planner_that(MEASURED))
    assert ended.run is not None
    request = parse_request(ended.run.request_document)
    assert request.progress is not None
    assert [step.do for step in request.progress.steps[:4]] == ["move", "pull", "unpack", "load"]
    assert [placed.tag for placed in request.progress.placements][:1] == ["001"]
    assert ended.status == "published"


def test_a_worse_plan_never_replaces_one_that_still_holds(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, report("weight_corrected", tag="003", weight_g=13_900))
    ended = _replan(accepted, planner_that(leaves=["007"]))
    accepted.refresh_from_db()
    assert LoadPlan.objects.count() == 2  # the worse one was made, and is not worked by
    assert (ended.status, accepted.plan and accepted.plan.version) == ("kept", 1)
    assert Task.objects.get(key="load:007").status == "waiting"


def test_a_missing_piece_holds_nobody_up_where_the_plan_stays(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, report("piece_missing", tag="007"))
    assert _replan(accepted, planner_that()).status == "kept"
    assert Task.objects.get(key="load:007").status == "withdrawn"


def test_a_plan_that_breaks_a_rule_is_not_published(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    ended = _replan(accepted, planner_that(place("007", 1400, 300, 1950, 1000)))
    accepted.refresh_from_db()
    assert (ended.status, accepted.plan and accepted.plan.version) == ("failed", 1)


def test_tasks_in_hand_and_the_next_stay(
    accepted: Job, dispatcher: User, crew: dict[str, CrewMember]
) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    given = set(Task.objects.filter(status="assigned").values_list("key", flat=True))
    _tell(accepted, dispatcher, _size("006", 1970, 880, 800))
    ended = _replan(accepted, planner_that())
    assert given == {"move:X9", "fetch:007"}
    assert given <= set(ended.frozen)
    assert {"unpack:001", "load:001"} <= set(ended.frozen)
    assert "load:006" not in ended.frozen


def test_while_the_rest_is_planned_only_what_stays_goes_into_the_truck(
    accepted: Job, dispatcher: User, crew: dict[str, CrewMember]
) -> None:
    _tell(
        accepted,
        dispatcher,
        report("vault_moved", vault="X9", lane="L2"),
        report("vault_pulled", vault="V1"),
        report("piece_unpacked", tag="001"),
        report("piece_unpacked", tag="002"),
        report("piece_missing", tag="007"),
    )
    tasks_assign(job_id=accepted.id, now=NOW)
    statuses = dict(accepted.tasks.values_list("key", "status"))
    assert (statuses["carry:002"], statuses["unpack:003"]) == ("ready", "assigned")
    _replan(accepted, planner_that())
    _tell(accepted, dispatcher, report("piece_unpacked", tag="003"))
    tasks_assign(job_id=accepted.id, now=NOW)
    assert Task.objects.get(key="carry:002").status == "assigned"


def test_people_read_in_one_sentence_what_changed_and_why(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, _found("901"))
    _replan(accepted, planner_that(place("901", 1800, 300, 2000, 900)))
    _tell(accepted, dispatcher, report("weight_corrected", tag="007", weight_g=24_000))
    _replan(accepted, planner_that())
    published, kept = job_notices(job=accepted)
    assert str(published.sentence) == ("Piece 901 was not on the list: by plan 2 also loaded: 901.")
    assert (
        str(kept.sentence) == "Piece 007 has another weight: the rest of the plan stays as it is."
    )


def test_the_former_version_can_be_gone_back_to_while_it_holds(
    accepted: Job, plan: LoadPlan, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, _found("901"))
    _replan(accepted, planner_that(place("901", 1800, 300, 2000, 900)))
    job = job_plan_return(job=accepted, plan=plan, by=dispatcher, now=NOW)
    assert job.tasks_plan == plan
    assert Task.objects.get(key="load:901").status == "withdrawn"
    assert JobState.objects.get().state["published"] == [2, 1]


def test_a_version_that_holds_no_longer_is_not_gone_back_to(
    accepted: Job, plan: LoadPlan, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(MEASURED))
    with pytest.raises(PlanHoldsNoLonger):
        job_plan_return(job=accepted, plan=plan, by=dispatcher, now=NOW)


def test_only_a_plan_that_holds_is_accepted_once_something_is_done(
    accepted: Job, plan: LoadPlan, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(MEASURED))
    standing = Job.objects.get().tasks_plan
    with pytest.raises(PlanHoldsNoLonger):
        job_plan_take(job=accepted, plan=plan, by=dispatcher, now=NOW)
    assert Job.objects.get().tasks_plan == standing


def test_a_begun_load_is_planned_anew_from_what_has_been_done(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    _tell(accepted, dispatcher, report("vault_pulled", vault="V1"), *_loaded("001", "002"))
    wish = {"seed": 1, "budget_s": 1.0, "run_id": uuid4(), "send": False}
    run = job_plan(job=accepted, **wish)
    progress = run.request_document["progress"]
    assert {place["tag"] for place in progress["placements"]} >= {"001", "002"}
    _tell(accepted, dispatcher, *_loaded("003"))
    assert job_plan(job=accepted, **wish) == run
    plan = plan_run_execute(run_id=run.id, worker="w1", now=NOW, search=planner_that())
    assert plan is not None
    job = job_plan_take(job=accepted, plan=plan, by=dispatcher, now=NOW)
    assert job.tasks_plan == plan
    assert JobState.objects.get().state["published"] == [2]


def test_the_loader_goes_back_to_the_plan_before_with_one_tap(
    client: Client, accepted: Job, plan: LoadPlan, crew: dict[str, CrewMember]
) -> None:
    loader = crew["lou"].user
    _tell(accepted, loader, _found("901"))
    _replan(accepted, planner_that(place("901", 1800, 300, 2000, 900)))
    back = reverse("jobs:go-back", args=[accepted.id, plan.pk])
    page = reverse("jobs:loader", args=[accepted.id])
    for member, offered in ((crew["hanne"], False), (crew["lou"], True)):
        client.force_login(member.user)
        assert (back in client.get(page).content.decode()) == offered
    client.force_login(crew["hanne"].user)
    assert client.post(back).status_code == 403
    client.force_login(loader)
    assert client.post(back, {"next": page})["Location"] == page
    assert Job.objects.get().tasks_plan == plan
    assert back not in client.get(page).content.decode()


def test_going_back_to_what_holds_no_longer_says_why(
    client: Client, accepted: Job, plan: LoadPlan, crew: dict[str, CrewMember]
) -> None:
    _tell(accepted, crew["lou"].user, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(MEASURED))
    client.force_login(crew["lou"].user)
    back = reverse("jobs:go-back", args=[accepted.id, plan.pk])
    answer = client.post(back, {"next": reverse("jobs:loader", args=[accepted.id])}, follow=True)
    assert "holds no longer" in answer.content.decode()
    assert Job.objects.get().tasks_plan != plan


def test_two_workers_plan_a_job_one_after_the_other(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, report("piece_missing", tag="007"))
    first = Replan.objects.get()

    def search_meanwhile(request: LoadRequest, **more: Any) -> PlannedLoad:
        # While this one plans, the same message comes again, and another piece is missing.
        assert replan_execute(replan_id=first.id, worker="w2", now=NOW) is None
        _tell(accepted, dispatcher, report("piece_missing", tag="006"))
        second = Replan.objects.get(status="asked")
        assert replan_execute(replan_id=second.id, worker="w2", now=NOW) is None
        return planner_that()(request, **more)

    assert _replan(accepted, search_meanwhile).status == "kept"
    assert Replan.objects.get(status="asked").causes == ["piece_missing 006"]


def test_a_replan_whose_worker_died_is_taken_over(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, report("piece_missing", tag="007"))
    asked = Replan.objects.get()
    assert replans_resend(now=NOW) == []
    assert replans_resend(now=NOW + timedelta(seconds=10)) == [asked.id]
    Replan.objects.update(status="planning", lease_until=NOW + timedelta(seconds=60))
    assert replans_resend(now=NOW + timedelta(seconds=59)) == []
    later = NOW + timedelta(seconds=61)
    assert replans_resend(now=later) == [asked.id]
    ended = replan_execute(
        replan_id=asked.id, worker="w2", now=later, search=planner_that(), clock=lambda: 0.0
    )
    assert ended is not None
    assert (ended.status, ended.claimed_by) == ("kept", "w2")


def test_a_search_that_fails_leaves_the_plan_and_is_told(accepted: Job, dispatcher: User) -> None:
    def search(request: LoadRequest, **_: Any) -> PlannedLoad:
        raise ArithmeticError(request.name)

    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    assert _replan(accepted, search).status == "failed"
    assert "no new plan" in str(job_notices(job=accepted)[0].sentence)


def test_a_paused_job_gives_nothing_out(
    accepted: Job, dispatcher: User, crew: dict[str, CrewMember]
) -> None:
    _tell(accepted, dispatcher, report("job_paused", reason="weather"))
    assert not tasks_assign(job_id=accepted.id, now=NOW)
    resumed = report("job_resumed") | {"happened_at": (NOW + timedelta(hours=1)).isoformat()}
    _tell(accepted, dispatcher, resumed)
    assert tasks_assign(job_id=accepted.id, now=NOW)


def test_what_is_carried_over_keeps_the_rules(accepted: Job, plan: LoadPlan) -> None:
    """Nothing has happened: what remains of the plan is the plan."""
    request = parse_request(plan.request_document)
    state: State = empty_state()
    assert check_plan(request, carried_over(request, parse_plan(plan.document), state)).broken == ()


def test_what_each_one_does_next_by_the_schedule_stays(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    """Hugo has four tasks: the first three are kept, with what comes before them."""
    asked = ("unpack:001", "unpack:002", "unpack:003", "unpack:004")
    entries = [[key, [member_key(crew["hugo"].pk)], 60, 60, 120] for key in asked]
    FloorPlan.objects.filter(job=accepted).update(
        starts_at=NOW,
        made_at=NOW,
        document={"entries": entries, "end_s": 120, "bound_s": 0, "left_over": []},
    )
    _tell(accepted, dispatcher, report("piece_missing", tag="007"))
    frozen = _replan(accepted, planner_that()).frozen
    assert {"pull:V1", *asked[:3]} <= set(frozen)
    assert asked[3] not in frozen


def test_a_replan_that_leaves_a_piece_off_is_looked_at_again(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, report("weight_corrected", tag="006", weight_g=24_000))
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(leaves=["007"]))
    asked: list[dict[str, Any]] = []

    look = _replan(accepted, noting(asked, planner_that(MEASURED)))

    assert look.second_look
    assert look.status == Replan.Status.PUBLISHED
    assert [(more["improve"], more["stop"].budget_s) for more in asked] == [(True, 24.0)]
    hasty, better = job_notices(job=accepted)
    assert str(hasty.sentence).endswith("left behind: 007.")
    assert str(better.sentence) == (
        "A longer search found a better plan: by plan 3 also loaded: 007."
    )
    assert not Replan.objects.filter(status="asked").exists()


def test_a_replan_that_changes_the_plan_is_looked_at_again_though_all_is_loaded(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    assert _replan(accepted, planner_that(MEASURED)).status == Replan.Status.PUBLISHED
    asked: list[dict[str, Any]] = []

    assert _replan(accepted, noting(asked, planner_that(MEASURED))).second_look
    assert [(more["improve"], more["stop"].budget_s) for more in asked] == [(True, 8.0)]


def test_a_plan_that_stays_whole_is_not_looked_at_again(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, report("weight_corrected", tag="003", weight_g=13_900))
    assert _replan(accepted, planner_that(leaves=["007"])).status == Replan.Status.KEPT
    assert not Replan.objects.filter(status="asked").exists()


def test_a_plan_that_stays_though_it_leaves_a_piece_off_is_looked_at_again(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(leaves=["007"]))
    _replan(accepted, planner_that(leaves=["007"]))
    _tell(accepted, dispatcher, report("weight_corrected", tag="003", weight_g=13_900))

    assert _replan(accepted, planner_that(leaves=["007"])).status == Replan.Status.KEPT

    assert Replan.objects.get(job=accepted, status="asked").second_look


def test_a_second_look_that_finds_nothing_better_is_told_nobody(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(leaves=["007"]))
    told = [str(notice.sentence) for notice in job_notices(job=accepted)]

    look = _replan(accepted, planner_that(leaves=["007"]))

    assert look.status == Replan.Status.KEPT
    assert [str(notice.sentence) for notice in job_notices(job=accepted)] == told
    assert not Replan.objects.filter(status="asked").exists()


def test_what_happens_meanwhile_does_not_wait_for_a_second_look(
    accepted: Job, dispatcher: User
) -> None:
    """It ends with what it has found, and what happened is planned after it."""
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(leaves=["007"]))

    def longer(request: LoadRequest, **more: Any) -> PlannedLoad:
        assert not more["cancelled"]()
        _tell(accepted, dispatcher, report("piece_missing", tag="005"))
        assert more["cancelled"]()
        return planner_that(MEASURED)(request, **more)

    ticks = iter(range(1000))
    asked = Replan.objects.get(job=accepted, status="asked")
    look = replan_execute(
        replan_id=asked.id, worker="w1", now=NOW, search=longer, clock=lambda: float(next(ticks))
    )

    assert look is not None
    assert look.status == Replan.Status.PUBLISHED
    waiting = Replan.objects.get(job=accepted, status="asked")
    assert waiting.causes == ["piece_missing 005"]
    assert not waiting.second_look


def test_a_second_look_that_waits_gives_way_to_what_happens(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, _size("007", 1950, 300, 1000))
    _replan(accepted, planner_that(leaves=["007"]))
    assert Replan.objects.get(job=accepted, status="asked").second_look

    _tell(accepted, dispatcher, report("piece_missing", tag="005"))

    waiting = Replan.objects.get(job=accepted, status="asked")
    assert waiting.causes == ["piece_missing 005"]
    assert not waiting.second_look


def test_the_rest_is_planned_from_the_plan_that_people_work_by(
    accepted: Job, dispatcher: User
) -> None:
    """Not from a later version that was not taken, because it was worse."""
    _tell(accepted, dispatcher, report("weight_corrected", tag="007", weight_g=24_000))
    assert _replan(accepted, planner_that(leaves=["007"])).status == Replan.Status.KEPT
    _tell(accepted, dispatcher, report("weight_corrected", tag="006", weight_g=24_000))
    asked: list[PlannedLoad] = []

    def search(request: LoadRequest, *, former: PlannedLoad, **more: Any) -> PlannedLoad:
        asked.append(former)
        return planner_that()(request, **more)

    _replan(accepted, search)

    assert [len(former.left_off) for former in asked] == [0]
