"""Choosing an order of the pulls for a job: planned with, kept to, seen, taken back, refused."""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client

from inventory.models import Item, Lane, User, Vault
from jobs.errors import JobClosed, OrderBlocked, OrderOvertaken, OrderUuidReused
from jobs.models import CrewMember, Job, OrderChoice
from jobs.replanning import order_now, order_overtaken, whole_order
from jobs.services import (
    events_record,
    job_order_choose,
    job_plan,
    job_plan_take,
    tasks_assign,
)
from loading.errors import DocumentInvalid
from loading.models import DockStudy, Load, LoadPlan, PlanRun
from loading.planner.plan import Step
from loading.planner.request import LoadRequest, Progress, parse_request
from loading.services import plan_run_execute
from tests.jobs.reports import report
from tests.jobs.scenario import REQUEST
from tests.jobs.stage import NOW, make_job, make_person, make_piece, store_plan

KEY = UUID(int=7)


def choose(job: Job, codes: Sequence[str] | None, key: UUID = KEY) -> OrderChoice:
    return job_order_choose(
        job=job, codes=codes, choice_id=key, budget_s=1, by=None, now=NOW, send=False
    )


def begun(*pulled: str) -> LoadRequest:
    steps = tuple(Step("pull", vault=code) for code in pulled)
    return replace(parse_request(REQUEST), progress=Progress(steps, (), ()))


@pytest.fixture
def stored(load: Load) -> Load:
    """Storage has two vaults side by side, each with a carton."""
    lane = {"branch": load.branch, "depth": 1, "levels": 1}
    for number, code in enumerate(("V1", "V2"), start=1):
        vault = Vault.objects.create(
            branch=load.branch,
            code=code,
            shipment=load.release.shipment,
            lane=Lane.objects.create(name=f"L{number}", **lane),
            depth=1,
            level=1,
        )
        piece = make_piece(load.release.shipment, f"00{number}")
        Item.objects.filter(pk=piece.pk).update(vault=vault, vault_position=1)
    return load


def pulls(plan: LoadPlan | None) -> list[str]:
    assert plan is not None
    return [step["vault"] for step in plan.document["steps"] if step["do"] == "pull"]


def planned(run: PlanRun) -> LoadPlan:
    PlanRun.objects.filter(pk=run.pk).update(budget_s=0.05)
    plan = plan_run_execute(run_id=run.pk, worker="w", now=NOW)
    assert plan is not None
    return plan


def test_a_job_that_is_not_begun_is_planned_in_the_order(stored: Load) -> None:
    job = make_job(stored)
    for codes in (["V2", "V1"], ["V1", "V2"]):
        choice = choose(job, codes, uuid4())
        assert pulls(planned(choice.run)) == codes


def test_every_later_plan_keeps_to_the_order_until_it_is_free_again(stored: Load) -> None:
    job = make_job(stored)
    choose(job, ["V2", "V1"])
    later = job_plan(job=job, seed=1, budget_s=1, send=False)
    assert later.request_document["pull_order"] == ["V2", "V1"]
    freed = choose(job, None, uuid4())
    assert freed.run.request_document["pull_order"] is None
    assert Load.objects.get().pull_order is None


def test_an_order_that_is_free_again_is_not_held_by_the_plan_that_had_it(stored: Load) -> None:
    """A plan that follows another keeps its order: not where that was forced and is no more."""
    job = make_job(stored)
    former = planned(choose(job, ["V2", "V1"]).run)
    seen: list[object] = []

    def search(request: LoadRequest, *, former: object, **_: Any) -> Any:
        seen.append(former)
        raise KeyboardInterrupt

    for wish, follows in ((None, False), (["V2", "V1"], True)):
        run = choose(job, wish, uuid4()).run
        with pytest.raises(KeyboardInterrupt):
            plan_run_execute(run_id=run.pk, worker="w", now=NOW, search=search)
        assert (seen.pop() is not None) is follows, former


def test_vaults_that_the_order_does_not_name_come_last(stored: Load) -> None:
    assert choose(make_job(stored), ["V2"]).run.request_document["pull_order"] == ["V2", "V1"]


def test_the_rest_of_a_begun_load_keeps_to_the_order(accepted: Job, dispatcher: User) -> None:
    tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    tell(accepted, dispatcher, report("vault_pulled", vault="V1"))
    document = choose(accepted, ["V2"]).run.request_document
    assert document["pull_order"] == ["V1", "V2"]
    assert Step("pull", vault="V1") in parse_request(document).progress.steps  # type: ignore[union-attr]


def test_an_order_that_was_overtaken_is_refused_in_words(accepted: Job, dispatcher: User) -> None:
    tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    tell(accepted, dispatcher, report("vault_pulled", vault="V1"))
    with pytest.raises(OrderOvertaken) as refused:
        choose(accepted, ["V2", "V1"])
    assert str(refused.value) == (
        "this order cannot hold any more, it has V2 before: V1 is pulled already"
    )
    assert Load.objects.get().pull_order is None
    assert not OrderChoice.objects.exists()


def test_what_somebody_has_next_stays_and_that_is_said(
    accepted: Job, dispatcher: User, crew: dict[str, CrewMember]
) -> None:
    tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    tasks_assign(job_id=accepted.id, now=NOW)
    with pytest.raises(OrderOvertaken) as refused:
        choose(accepted, ["V2", "V1"])
    assert (refused.value.pulled, refused.value.coming) == ((), ("V1",))
    assert str(refused.value) == (
        "this order cannot hold any more, it has V2 before: V1 is the next work of somebody, which"
        " stays"
    )


def test_an_order_that_the_lanes_do_not_allow_is_refused(stored: Load) -> None:
    """V2 moves behind V1, and no other place is free."""
    lane = Lane.objects.get(name="L1")
    Lane.objects.filter(pk=lane.pk).update(depth=2)
    Vault.objects.filter(code="V2").update(lane=lane, depth=2)
    Lane.objects.exclude(pk=lane.pk).delete()
    job = make_job(stored)
    with pytest.raises(OrderBlocked, match="vault V2 in lane L1 cannot be reached"):
        choose(job, ["V2", "V1"])
    assert choose(job, ["V1", "V2"]).codes == ["V1", "V2"]


@pytest.mark.parametrize("codes", [["V2", "V9"], ["V2", "V2"]])
def test_an_order_of_other_vaults_is_refused(stored: Load, codes: list[str]) -> None:
    with pytest.raises(DocumentInvalid) as refused:
        choose(make_job(stored), codes)
    assert [fault.pointer for fault in refused.value.faults] == ["/pull_order/1"]
    assert not PlanRun.objects.exists()


def test_the_same_key_is_one_choice(stored: Load) -> None:
    job = make_job(stored)
    assert choose(job, ["V2", "V1"]) == choose(job, ["V2", "V1"])
    assert PlanRun.objects.count() == 1
    for other in (["V1", "V2"], None):
        with pytest.raises(OrderUuidReused):
            choose(job, other)
    assert Load.objects.get().pull_order == ["V2", "V1"]


def test_a_repeat_that_comes_late_undoes_nothing(stored: Load) -> None:
    job = make_job(stored)
    choose(job, ["V2", "V1"])
    choose(job, None, uuid4())
    choose(job, ["V2", "V1"])
    assert Load.objects.get().pull_order is None


def test_a_closed_job_has_no_order_to_choose(stored: Load) -> None:
    job = make_job(stored)
    Job.objects.update(status="closed")
    with pytest.raises(JobClosed):
        choose(job, ["V2", "V1"])


def test_a_plan_in_another_order_than_the_one_that_stands_can_be_taken(
    accepted: Job, dispatcher: User
) -> None:
    """The order is a wish of the dispatcher's: it makes no version of the plan untrue."""
    forced = store_plan(accepted.load, request=REQUEST | {"pull_order": ["V1", "V2"]})
    job_plan_take(job=accepted, plan=forced, by=dispatcher, now=NOW)
    tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    backwards = REQUEST | {"pull_order": ["V2", "V1"]}
    Job.objects.update(tasks_plan=store_plan(accepted.load, request=backwards))
    taken = job_plan_take(job=Job.objects.get(), plan=forced, by=dispatcher, now=NOW)
    assert taken.tasks_plan == forced


def tell(job: Job, actor: User, *events: dict[str, Any]) -> None:
    events_record(job=job, events=events, actor=actor, now=NOW)


# An order beside what has been pulled


def test_what_is_pulled_comes_first_in_either_order() -> None:
    assert order_overtaken(begun(), ["V2", "V1"]) is None
    assert order_overtaken(begun("V2"), ["V2", "V1"]) is None
    assert order_overtaken(begun("V1", "V2"), ["V2", "V1"]) is None
    overtaken = order_overtaken(begun("V1"), ["V2", "V1"])
    assert overtaken is not None
    assert (overtaken.first, overtaken.pulled) == ("V2", ("V1",))


def test_an_order_is_made_whole() -> None:
    assert whole_order(begun(), ["V2"]) == ("V2", "V1")
    assert whole_order(begun("V2"), ["V1"]) == ("V2", "V1")
    assert order_now(begun("V2"), ["V9", "V1"]) == ("V2", "V1")
    assert order_now(begun("V2"), None) is None


# Pages and API


@pytest.fixture
def dana(client: Client, dispatcher: User) -> Client:
    client.force_login(dispatcher)
    return client


def test_the_jobs_page_shows_who_chose_and_takes_it_back(dana: Client, stored: Load) -> None:
    job = make_job(stored)
    page = f"/jobs/{job.pk}/"
    assert "order of the pulls" not in dana.get(page).content.decode()
    chosen = dana.post(f"{page}order/", {"uuid": str(KEY), "order": ["V2", "V1"]}, follow=True)
    shown = chosen.content.decode()
    assert "A plan with this order of the pulls is being made" in shown
    assert "dana chose an order of the pulls on " in shown
    assert '<span class="tag">V2</span>, <span class="tag">V1</span>' in shown
    planned(PlanRun.objects.get(pk=KEY))
    shown = dana.get(page).content.decode()
    assert "in the chosen order" in shown
    assert "Let the planner choose the order again" in shown
    freed = dana.post(f"{page}order/", {"uuid": str(uuid4()), "free": "on"}, follow=True)
    assert "The planner may choose the order again." in freed.content.decode()
    assert "in the chosen order" not in dana.get(page).content.decode()


def test_an_order_that_came_with_the_load_names_nobody(dana: Client, stored: Load) -> None:
    Load.objects.update(pull_order=["V1", "V2"])
    shown = dana.get(f"/jobs/{make_job(stored).pk}/").content.decode()
    assert "This load came with an order of the pulls, which every plan keeps to:" in shown


def test_the_page_says_why_an_order_cannot_be_had(
    dana: Client, accepted: Job, dispatcher: User
) -> None:
    tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    tell(accepted, dispatcher, report("vault_pulled", vault="V1"))
    sent = {"uuid": str(KEY), "order": ["V2", "V1"]}
    shown = dana.post(f"/jobs/{accepted.pk}/order/", sent, follow=True).content.decode()
    assert "it has V2 before: V1 is pulled already" in shown


@pytest.mark.parametrize(
    "sent",
    [
        {"order": ["V1"]},
        {"uuid": "x", "free": "on"},
        {"uuid": str(KEY)},
        {"uuid": str(KEY), "free": "on", "order": ["V1"]},
    ],
)
def test_a_form_that_says_nothing_clear_changes_nothing(
    dana: Client, stored: Load, sent: dict[str, Any]
) -> None:
    assert dana.post(f"/jobs/{make_job(stored).pk}/order/", sent).status_code == 422
    assert not OrderChoice.objects.exists()


def test_the_api_chooses_and_tells(dana: Client, stored: Load) -> None:
    where = f"/api/jobs/{make_job(stored).pk}/order/"
    free = {"order": None, "chosen_by": "", "chosen_at": None}
    assert dana.get(where).json() == free
    wish = {"id": str(KEY), "order": ["V2", "V1"]}
    for _ in range(2):
        answer = dana.post(where, wish, content_type="application/json")
        assert (answer.status_code, answer.json()["order"]) == (202, ["V2", "V1"])
    assert answer.json()["chosen_by"] == "dana"
    assert dana.get(f"/api/plan-runs/{KEY}/").json()["status"] == "queued"
    other = dana.post(where, wish | {"order": None}, content_type="application/json")
    assert (other.status_code, other.json()["type"]) == (409, "/problems/uuid-reused")
    wrong = {"id": str(uuid4()), "order": ["V9"]}
    refused = dana.post(where, wrong, content_type="application/json")
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/document-invalid")
    for wrong in ({"id": "x", "order": None}, {"id": str(uuid4())}, {"id": str(KEY), "order": []}):
        assert dana.post(where, wrong, content_type="application/json").status_code == 422


def test_the_api_says_why_an_order_cannot_be_had(
    dana: Client, accepted: Job, dispatcher: User
) -> None:
    tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    tell(accepted, dispatcher, report("vault_pulled", vault="V1"))
    wish = {"id": str(KEY), "order": ["V2", "V1"]}
    answer = dana.post(f"/api/jobs/{accepted.pk}/order/", wish, content_type="application/json")
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/order-overtaken")
    assert answer.json()["pulled"] == ["V1"]


def test_only_who_decides_on_jobs_chooses(client: Client, stored: Load, stranger: User) -> None:
    job = make_job(stored)
    page, api = f"/jobs/{job.pk}/order/", f"/api/jobs/{job.pk}/order/"
    wish = {"id": str(KEY), "order": ["V2", "V1"]}
    form = {"uuid": str(KEY), "order": ["V2", "V1"]}
    assert client.post(page, form).status_code == 302
    assert client.post(api, wish, content_type="application/json").status_code in (401, 403)
    for user, refused in ((make_person(job.branch, "lou", "loader"), 403), (stranger, 404)):
        client.force_login(user)
        assert client.post(page, form).status_code == refused
        assert client.post(api, wish, content_type="application/json").status_code == refused
    assert not OrderChoice.objects.exists()


ANSWER = {"orders": [], "price": None, "docks": []}
FIGURES = {"moves": 1, "loaded": 7, "length_mm": 1800, "space_use": 0.5, "floor_peak_mm2": 10**6}


def studied(plan: LoadPlan, *orders: list[str]) -> str:
    """Store the answer with these orders, the plan's own first; give the page's address."""
    told = [{"order": order, "in_front": True, **FIGURES} for order in orders]
    DockStudy.objects.create(
        plan=plan,
        budget_s=1,
        status="done",
        answer=ANSWER | {"orders": told},
        asked_at=NOW,
        finished_at=NOW,
    )
    return f"/loading/plans/{plan.pk}/dock/"


def test_the_button_of_an_order_plans_with_it(
    dana: Client, dispatcher: User, accepted: Job, plan: LoadPlan
) -> None:
    page = studied(plan, ["V1", "V2"], ["V2", "V1"])
    shown = dana.get(page).content.decode()
    assert "Hold to this order" in shown
    [form] = re.findall(r"<form[^>]*>(?:(?!</form>).)*Take this order</button></form>", shown, re.S)
    [where] = re.findall(r'action="([^"]+)"', form)
    named = re.findall(r'name="order" value="([^"]+)"', form)
    [key] = re.findall(r'name="uuid" value="([^"]+)"', form)
    assert (where, named) == (f"/jobs/{accepted.pk}/order/", ["V2", "V1"])
    tell(accepted, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    assert dana.post(where, {"uuid": key, "order": named}).status_code == 302
    assert OrderChoice.objects.get(pk=key).run.request_document["pull_order"] == ["V2", "V1"]
    assert '<span class="said">chosen</span>' in dana.get(page).content.decode()


def test_only_who_may_choose_sees_the_buttons(
    client: Client, accepted: Job, plan: LoadPlan
) -> None:
    page = studied(plan, ["V1", "V2"], ["V2", "V1"])
    for part, sees in (("dispatcher", True), ("loader", False)):
        client.force_login(make_person(accepted.branch, part, part))
        assert ("Take this order" in client.get(page).content.decode()) is sees
    Job.objects.update(status="closed")
    client.force_login(User.objects.get(username="dispatcher"))
    assert "Take this order" not in client.get(page).content.decode()
