"""What one truck does not take goes second: a release of its own, made once, that can be loaded."""

from dataclasses import replace

import pytest
from django.test import Client

from inventory.errors import WriteRefusedError
from inventory.models import Release
from loading.errors import NoPlanYet, NoSecondTrip
from loading.planner.plan import LeftOff, LoadPlan, Step
from loading.selectors import load_request_document
from loading.services import (
    choice_second_trip,
    load_create,
    load_second_trip,
    plan_run_create,
    plan_run_execute,
    truck_choice_execute,
)
from tests.loading.scenario import (
    NOW,
    PLACEMENTS,
    STEPS,
    HandSearch,
    dock_made,
    release_made,
    truck_made,
)
from tests.loading.test_truck_choices import KEY, answered, asked


def leaves_off(*tags):
    """The plan of the scenario without some of the pieces that leave."""

    def planned(request) -> LoadPlan:
        there = {item.tag for item in request.items if item.leaves} - set(tags)
        steps = tuple(
            step
            for step in STEPS
            if (step.tag is None or step.tag in there) and (step.tier != 2 or "003" in there)
        )
        places = tuple(place for place in PLACEMENTS if place.tag in there)
        left_off = tuple(LeftOff(tag, "R3: no length left") for tag in tags)
        return LoadPlan(request.name, steps, places, left_off=left_off)

    return planned


def in_two_trips(request) -> LoadPlan:
    """The trunk alone goes to the nose; beside the cartons it is left off."""
    tags = [item.tag for item in request.items if item.leaves]
    if tags != ["003"]:
        return leaves_off(*({"003"} & set(tags)))(request)
    steps = (Step("fetch", tag="003"), Step("load", tag="003"), Step("close", tier=1))
    place = replace(PLACEMENTS[2], tier=1, at_mm=(0, 10, 0))
    return LoadPlan(request.name, steps, (place,))


def split_choice(release, dock):
    short = truck_made(release.shipment.branch, name="Short", interior_mm=(900, 1000, 1000))
    asked(release, dock, [short])
    return truck_choice_execute(choice_id=KEY, now=NOW, plan=in_two_trips, clock=lambda: 0.0)


def plan_made(load, *left_off):
    run = plan_run_create(load=load, seed=1, budget_s=1, send=False)
    return plan_run_execute(
        run_id=run.id, worker="one", now=NOW, search=HandSearch(leaves_off(*left_off))
    )


def tags_of(release):
    return sorted(item.tag for item in release.items.all())


def leaving(load):
    items = load_request_document(load=load)["items"]
    return sorted(item["tag"] for item in items if item["leaves"])


def test_what_a_plan_leaves_off_becomes_a_release_that_can_be_loaded(load):
    plan_made(load, "003")
    (second,) = load_second_trip(load=load, now=NOW)
    assert (second.reference, second.receiver_name, tags_of(second)) == (
        "REL-1/2",
        "R. Doe",
        ["003"],
    )
    assert tags_of(load.release) == ["001", "002"]
    again = load_create(
        release=second, truck=load.truck, dock=load.dock, reference="LOAD-2", distance_km=40
    )
    assert (leaving(load), leaving(again)) == (["001", "002"], ["003"])


def test_asking_twice_gives_the_same_release(load):
    plan_made(load, "003")
    assert load_second_trip(load=load, now=NOW) == load_second_trip(load=load, now=NOW)
    assert Release.objects.count() == 2


def test_nothing_to_split(load):
    with pytest.raises(NoPlanYet):
        load_second_trip(load=load, now=NOW)
    plan_made(load)
    with pytest.raises(NoSecondTrip):
        load_second_trip(load=load, now=NOW)
    assert Release.objects.count() == 1


def test_a_truck_that_takes_nothing_splits_nothing(load):
    run = plan_run_create(load=load, seed=1, budget_s=1, send=False)

    def nothing(request):
        tags = [item.tag for item in request.items if item.leaves]
        return LoadPlan(request.name, (), (), left_off=tuple(LeftOff(t, "R12") for t in tags))

    assert plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch(nothing))
    with pytest.raises(WriteRefusedError):
        load_second_trip(load=load, now=NOW)
    assert Release.objects.count() == 1


def test_the_second_trip_of_a_choice_of_trucks(branch):
    release, dock = release_made(branch), dock_made(branch)
    choice = split_choice(release, dock)
    second = choice_second_trip(choice=choice, now=NOW)
    assert tags_of(second) == choice.answer["trips"][1]["tags"] == ["003"]
    assert choice_second_trip(choice=choice, now=NOW) == second
    assert tags_of(release) == ["001", "002"]


def test_one_truck_that_takes_all_leaves_no_second_trip(branch):
    choice = answered(release_made(branch), dock_made(branch), [truck_made(branch)])
    with pytest.raises(NoSecondTrip):
        choice_second_trip(choice=choice, now=NOW)


def signed_in(user):
    client = Client()
    client.force_login(user)
    return client


def test_the_plan_page_tells_a_reason_once_for_all_that_it_leaves_off(load, dispatcher):
    left = tuple(LeftOff(tag, "R3: no length left") for tag in ("001", "002", "003"))
    search = HandSearch(lambda request: LoadPlan(request.name, (), (), left_off=left))
    run = plan_run_create(load=load, seed=1, budget_s=1, send=False)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=search)
    shown = signed_in(dispatcher).get(f"/loading/plans/{plan.pk}/").content.decode()
    assert shown.count("no length left") == 1
    tags = ", ".join(f'<span class="tag">{tag}</span>' for tag in ("001", "002", "003"))
    assert f"<li>{tags} " in shown


def test_the_plan_page_splits_once_and_shows_the_release(load, dispatcher):
    plan, client = plan_made(load, "003"), signed_in(dispatcher)
    page, asks = f"/loading/plans/{plan.pk}/", f"/loading/plans/{plan.pk}/second-trip/"
    assert asks in client.get(page).content.decode()
    assert client.post(asks).status_code == 302
    second = Release.objects.get(reference="REL-1/2")
    shown = client.get(page).content.decode()
    assert asks not in shown
    assert f"/office/releases/{second.pk}/job/" in shown


def test_the_choice_page_splits_once_and_shows_the_release(branch, dispatcher):
    choice, client = split_choice(release_made(branch), dock_made(branch)), signed_in(dispatcher)
    page = f"/loading/truck-choices/{choice.pk}/"
    assert client.post(f"{page}second-trip/").status_code == 302
    second = Release.objects.get(reference="REL-1/2")
    assert f"/office/releases/{second.pk}/job/?truck=Short" in client.get(page).content.decode()


@pytest.mark.parametrize("of", ["load", "choice"])
def test_over_the_api(load, dispatcher, helper, stranger, of):
    plan_made(load, "003")
    where = f"/api/loads/{load.pk}/second-trip/"
    if of == "choice":
        where = f"/api/truck-choices/{split_choice(load.release, load.dock).pk}/second-trip/"
    for user, status in ((helper, 403), (stranger, 404)):
        assert signed_in(user).post(where).status_code == status
    assert Client().post(where).status_code in (401, 403)
    answer = signed_in(dispatcher).post(where)
    told = answer.json() if of == "choice" else answer.json()[0]
    assert (answer.status_code, told["reference"]) == (201, "REL-1/2")


def test_pages_are_not_for_everybody(load, helper, stranger):
    plan = plan_made(load, "003")
    for user, status in ((helper, 403), (stranger, 404)):
        asked = signed_in(user).post(f"/loading/plans/{plan.pk}/second-trip/")
        assert asked.status_code == status
    assert Release.objects.count() == 1
