"""Other orders and docks beside a plan: asked once, answered by a worker, shown and told."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.test import Client

from loading.errors import StudyUuidReused
from loading.measures import IMPERIAL, length
from loading.models import DockStudy
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.services import (
    dock_studies_resend,
    dock_study_create,
    dock_study_execute,
    plan_run_create,
    plan_run_execute,
)
from tests.loading.scenario import NOW, PLACEMENTS, STEPS, HandSearch

KEY = UUID(int=1)


def planned(load, **changed):
    run = plan_run_create(load=load, seed=1, budget_s=2, send=False, **changed)
    return plan_run_execute(run_id=run.id, worker="w", now=NOW, search=HandSearch())


@pytest.fixture
def plan(load):
    return planned(load)


@pytest.fixture
def client(dispatcher):
    client = Client()
    client.force_login(dispatcher)
    return client


def answers(request: LoadRequest) -> LoadPlan:
    """The scenario's plan; with a second vault spot it would be 120 mm shorter."""
    length_mm = 880 if request.dock.vault_spots == 2 else 1000
    return LoadPlan(request.name, STEPS, PLACEMENTS, figures={"length_mm": length_mm, "moves": 1})


def asked(plan, key=KEY, **changed):
    return dock_study_create(study_id=key, plan=plan, now=NOW, **({"send": False} | changed))


def answered(plan):
    asked(plan)
    found = dock_study_execute(study_id=KEY, now=NOW, plan=answers, clock=lambda: 0.0)
    assert found is not None
    return found


def test_a_larger_dock_is_told_with_its_gain(plan):
    study = answered(plan)
    assert study.status == "done"
    assert study.answer["docks"] == [
        {
            "change": "floor",
            "vault_spots": 1,
            "floor_mm2": 15_000_000,
            "more_loaded": 0,
            "shorter_mm": 0,
            "fewer_moves": 0,
            "pays": False,
        },
        {
            "change": "spot",
            "vault_spots": 2,
            "floor_mm2": 10_000_000,
            "more_loaded": 0,
            "shorter_mm": 120,
            "fewer_moves": 0,
            "pays": True,
        },
    ]


def test_the_plans_own_order_comes_first_and_an_open_one_has_no_price(plan):
    answer = answered(plan).answer
    assert [one["order"] for one in answer["orders"]] == [["V1"]]
    assert answer["orders"][0]["moves"] == 1
    assert answer["orders"][0]["in_front"] is True
    assert answer["price"] is None


def test_a_forced_order_is_told_with_its_price(load):
    load.pull_order = ["V1"]
    load.save()
    price = answered(planned(load)).answer["price"]
    assert price == {
        "waiting": 0,
        "wait_s": 0,
        "longest_s": 0,
        "sooner": None,
        "more_loaded": 0,
        "shorter_mm": 0,
        "fewer_moves": 0,
    }


def test_the_same_key_is_one_question(plan):
    assert asked(plan).pk == asked(plan).pk
    assert DockStudy.objects.count() == 1


def test_a_key_of_another_plans_question_is_refused(plan, load):
    asked(plan)
    with pytest.raises(StudyUuidReused):
        asked(planned(load))


def test_a_question_is_answered_once(plan):
    answered(plan)
    assert dock_study_execute(study_id=KEY, now=NOW, plan=answers) is None


def test_a_question_of_a_lost_worker_is_taken_over_and_in_the_end_given_up(plan):
    asked(plan)
    later = NOW
    for _ in range(3):
        with pytest.raises(KeyboardInterrupt):
            dock_study_execute(study_id=KEY, now=later, plan=killed, clock=lambda: 0.0)
        assert dock_study_execute(study_id=KEY, now=later, plan=answers) is None
        later += timedelta(minutes=5)
    assert dock_study_execute(study_id=KEY, now=later, plan=answers) is None
    given_up = DockStudy.objects.get()
    assert given_up.status == "failed"
    assert "lost" in given_up.problem


def killed(_request: LoadRequest) -> LoadPlan:
    raise KeyboardInterrupt


def test_a_search_that_fails_is_told(plan):
    def fails(request: LoadRequest) -> LoadPlan:
        raise RuntimeError("kernel")

    asked(plan)
    with pytest.raises(RuntimeError):
        dock_study_execute(study_id=KEY, now=NOW, plan=fails)
    study = DockStudy.objects.get()
    assert (study.status, study.problem) == ("failed", "RuntimeError: kernel")


def test_what_the_broker_lost_is_sent_again(plan):
    study = asked(plan)
    DockStudy.objects.update(sent_at=NOW)
    assert dock_studies_resend(now=NOW + timedelta(seconds=59)) == []
    assert dock_studies_resend(now=NOW + timedelta(seconds=61)) == [study.pk]
    assert dock_studies_resend(now=NOW + timedelta(seconds=62)) == []


def test_the_page_asks_and_the_plans_page_shows_the_answer(plan, client):
    where = f"/loading/plans/{plan.pk}/dock/"
    assert client.post(where, {"study_id": "one"}).status_code == 422
    assert client.post(where, {"study_id": str(KEY)})["Location"] == where
    waits = client.get(where)
    assert waits["Refresh"] == "3"
    assert "A larger dock" not in waits.content.decode()
    dock_study_execute(study_id=KEY, now=NOW, plan=answers)
    done = client.get(where)
    assert "Refresh" not in done
    for page in (done, client.get(f"/loading/plans/{plan.pk}/")):
        shown = page.content.decode()
        assert "A larger dock" in shown
        assert "A dock with 2 vault spots would" in shown
        assert "would not make the load better" in shown
        assert f"save {length(120, IMPERIAL)} of truck" in " ".join(shown.split())


def test_a_forced_orders_price_is_told_in_words(plan, client):
    study = answered(plan)
    price = {"waiting": 3, "wait_s": 2400, "longest_s": 5400, "sooner": "V4102"}
    gain = {"more_loaded": 0, "shorter_mm": 400, "fewer_moves": 2}
    DockStudy.objects.update(answer={**study.answer, "price": price | gain})
    shown = " ".join(client.get(f"/loading/plans/{plan.pk}/dock/").content.decode().split())
    assert "3 pieces wait 40 minutes or longer on the floor." in shown
    assert "The longest wait is 90 minutes." in shown
    assert "Taking V4102 first would save" in shown
    assert "save shifting 2 vaults" in shown


def test_what_a_gain_costs_is_told_too(plan, client):
    study = answered(plan)
    spot = {**study.answer["docks"][1], "more_loaded": 1, "shorter_mm": -254, "fewer_moves": -1}
    again = {**study.answer["orders"][0], "length_mm": 900}
    answer = {**study.answer, "docks": [spot], "orders": [*study.answer["orders"], again]}
    DockStudy.objects.update(answer=answer)
    shown = " ".join(client.get(f"/loading/plans/{plan.pk}/dock/").content.decode().split())
    assert (
        "take one more piece along, in a load 10 in longer, with one more vault to shift." in shown
    )
    assert "the same order, planned once more" in shown


def test_the_api_asks_and_answers(plan, client):
    answer = client.post("/api/dock-studies/", {"id": str(KEY), "plan": plan.pk})
    assert (answer.status_code, answer.json()["status"]) == (202, "queued")
    dock_study_execute(study_id=KEY, now=NOW, plan=answers)
    found = client.get(f"/api/dock-studies/{KEY}/").json()
    assert [dock["shorter_mm"] for dock in found["answer"]["docks"]] == [0, 120]
    assert client.post("/api/dock-studies/", {"id": "x", "plan": plan.pk}).status_code == 422


def test_orders_are_drawn_against_each_other(plan, client):
    study = answered(plan)
    mine = {**study.answer["orders"][0], "space_use": 0.61, "in_front": False}
    other = {**mine, "order": ["V2"], "moves": 3, "space_use": 0.704, "in_front": True}
    DockStudy.objects.update(answer={**study.answer, "orders": [mine, other]})
    shown = " ".join(client.get(f"/loading/plans/{plan.pk}/dock/").content.decode().split())
    assert "B: space use 70.4 %, 3 vaults shifted" in shown
    assert "<strong>B</strong>" in shown
    assert "70.4 %</td>" in shown


def test_an_answer_of_before_is_shown_without_the_picture(plan, client):
    study = answered(plan)
    mine = {name: said for name, said in study.answer["orders"][0].items() if name != "space_use"}
    DockStudy.objects.update(answer={**study.answer, "orders": [mine, mine]})
    shown = client.get(f"/loading/plans/{plan.pk}/dock/").content.decode()
    assert "to choose from" in shown
    assert "dock-picture" not in shown


def test_strangers_and_helpers(plan, stranger, helper):
    asked(plan)
    where = f"/loading/plans/{plan.pk}/dock/"
    for user, page, asks, told in ((stranger, 404, 404, 404), (helper, 200, 403, 200)):
        client = Client()
        client.force_login(user)
        assert client.get(where).status_code == page
        assert client.post(where, {"study_id": str(UUID(int=2))}).status_code == asks
        assert client.get(f"/api/dock-studies/{KEY}/").status_code == told
        sent = {"id": str(UUID(int=3)), "plan": plan.pk}
        assert client.post("/api/dock-studies/", sent).status_code == asks
    assert Client().get(where).status_code == 302


def test_the_real_search_answers(plan):
    asked(plan)
    DockStudy.objects.update(budget_s=0.05)
    study = dock_study_execute(study_id=KEY, now=NOW)
    assert study.status == "done"
    assert study.answer["orders"][0]["loaded"] == len(PLACEMENTS)
    assert 0 < study.answer["orders"][0]["space_use"] <= 1
    assert [dock["change"] for dock in study.answer["docks"]] == ["floor", "spot"]
