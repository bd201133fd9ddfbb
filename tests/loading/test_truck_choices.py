"""Which truck takes a release: asked once, answered by a worker, shown on a page and by the API."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.test import Client

from loading.errors import BranchesDiffer, ChoiceUuidReused, NoTruckNamed
from loading.models import TruckChoice
from loading.planner.plan import LeftOff, LoadPlan
from loading.services import truck_choice_create, truck_choice_execute, truck_choices_resend
from tests.loading.scenario import NOW, PLACEMENTS, STEPS, dock_made, release_made, truck_made

KEY = UUID(int=1)


@pytest.fixture
def release(branch):
    return release_made(branch)


@pytest.fixture
def dock(branch):
    return dock_made(branch)


@pytest.fixture
def fleet(branch):
    return [
        truck_made(branch, name="Short", interior_mm=(900, 1000, 1000)),
        truck_made(branch),
        truck_made(branch, name="Weak", payload_g=30_000),
    ]


@pytest.fixture
def client(dispatcher):
    client = Client()
    client.force_login(dispatcher)
    return client


def by_hand(request) -> LoadPlan:
    """The plan of the scenario; a truck too short for its second tier leaves that off."""
    fits = [
        place
        for place in PLACEMENTS
        if place.at_mm[0] + place.size_mm[0] <= request.truck.interior_mm[0]
        and request.item(place.tag).leaves
    ]
    tags = {place.tag for place in fits}
    left = [i.tag for i in request.items if i.leaves and i.tag not in tags]
    steps = tuple(step for step in STEPS if step.tag in tags)
    return LoadPlan(
        request.name, steps, tuple(fits), left_off=tuple(LeftOff(t, "no length left") for t in left)
    )


def asked(release, dock, fleet, key=KEY, **changed):
    given = {"distance_km": 40, "budget_s": 5, "now": NOW, "send": False} | changed
    return truck_choice_create(choice_id=key, release=release, dock=dock, trucks=fleet, **given)


def answered(release, dock, fleet):
    asked(release, dock, fleet)
    found = truck_choice_execute(choice_id=KEY, now=NOW, plan=by_hand, clock=lambda: 0.0)
    assert found is not None
    return found


def test_the_smallest_truck_that_takes_all_and_what_each_would_cost(release, dock, fleet):
    choice = answered(release, dock, fleet)
    assert (choice.status, choice.problem, choice.lease_until) == ("done", "", None)
    (trip,) = choice.answer["trips"]
    assert (trip["truck"], trip["tags"], trip["weight_g"]) == (
        "Truck 7",
        ["001", "002", "003"],
        40_000,
    )
    # 3 m less two tiers of half a metre; 2,000 kg less 40 kg.
    assert (trip["length_left_mm"], trip["payload_left_g"]) == (2000, 1_960_000)
    offers = {offer["truck"]: offer for offer in choice.answer["offers"]}
    assert offers["Short"]["left_off"] == ["003"]
    assert "the goods weigh 40 kg" in offers["Weak"]["why"]
    assert offers["Truck 7"]["takes_s"] > 0
    assert offers["Truck 7"]["over_on_the_road_g"] == 0


def test_where_none_takes_all_it_is_said_what_goes_second(release, dock, fleet):
    choice = answered(release, dock, fleet[:1])
    tags = [trip["tags"] for trip in choice.answer["trips"]]
    assert sorted(tag for trip in tags for tag in trip) + [
        one["tag"] for one in choice.answer["stays"]
    ] == ["001", "002", "003"]
    assert len(tags[0]) == 2


def test_a_truck_over_its_limits_on_the_road_is_told(branch, release, dock):
    light = [
        {"name": "front axle", "x_mm": -500, "tare_kg": 1000, "limit_kg": 1010},
        {"name": "rear axle", "x_mm": 2500, "tare_kg": 1000, "limit_kg": 4000},
    ]
    choice = answered(release, dock, [truck_made(branch, supports=light)])
    # The front axle carries 1026.667 kg (see the road sheet's test), 16.667 kg too much.
    assert choice.answer["trips"][0]["over_on_the_road_g"] == 16_667


def test_a_question_is_asked_once(release, dock, fleet):
    assert asked(release, dock, fleet) == asked(release, dock, fleet)
    with pytest.raises(ChoiceUuidReused):
        asked(
            release_made(release.shipment.branch.__class__.objects.create(code="x"), "S2"),
            dock,
            fleet,
        )
    assert TruckChoice.objects.count() == 1


def test_what_cannot_be_asked(release, dock, fleet, stranger):
    with pytest.raises(NoTruckNamed):
        asked(release, dock, [])
    elsewhere = truck_made(stranger.roles.get().branch)
    with pytest.raises(BranchesDiffer):
        asked(release, dock, [*fleet, elsewhere])
    assert not TruckChoice.objects.exists()


def test_one_worker_answers_and_a_lost_one_is_replaced(release, dock, fleet):
    asked(release, dock, fleet, send=False)
    TruckChoice.objects.update(
        status="running", attempt=1, lease_until=NOW + timedelta(minutes=1), sent_at=NOW
    )
    assert truck_choice_execute(choice_id=KEY, now=NOW, plan=by_hand) is None
    later = NOW + timedelta(minutes=2)
    assert truck_choice_execute(choice_id=KEY, now=later, plan=by_hand).status == "done"
    assert truck_choice_execute(choice_id=KEY, now=later, plan=by_hand) is None
    assert truck_choices_resend(now=later) == []


def test_a_search_that_breaks_is_told(release, dock, fleet):
    def broken(_request):
        raise RuntimeError("kernel")

    asked(release, dock, fleet)
    with pytest.raises(RuntimeError):
        truck_choice_execute(choice_id=KEY, now=NOW, plan=broken)
    choice = TruckChoice.objects.get()
    assert (choice.status, choice.problem) == ("failed", "RuntimeError: kernel")


def test_the_pages_ask_and_answer(release, dock, fleet, client):
    where = f"/loading/releases/{release.pk}/trucks/"
    told = {
        "choice_id": str(KEY),
        "trucks": [truck.pk for truck in fleet],
        "dock": dock.pk,
        "distance": 40,
        "budget_s": 5,
    }
    assert client.post(where, {**told, "trucks": []}).status_code == 422
    answer = client.post(where, told)
    assert answer["Location"] == f"/loading/truck-choices/{KEY}/"
    waits = client.get(answer["Location"])
    assert waits["Refresh"] == "3"
    truck_choice_execute(choice_id=KEY, now=NOW, plan=by_hand)
    done = client.get(answer["Location"])
    assert "Refresh" not in done
    shown = done.content.decode()
    assert "One truck takes it all" in shown
    assert "A planning aid" in shown
    assert f"/office/releases/{release.pk}/job/?truck=Truck%207" in shown
    form = client.get(f"/office/releases/{release.pk}/job/?truck=Truck%207").content.decode()
    assert f'<option value="{fleet[1].pk}" selected>Truck 7</option>' in form


def test_the_api_asks_and_answers(release, dock, fleet, client):
    told = {
        "id": str(KEY),
        "release": release.pk,
        "dock": dock.pk,
        "trucks": [truck.pk for truck in fleet],
        "distance_km": 40,
    }
    answer = client.post("/api/truck-choices/", told, "application/json")
    assert (answer.status_code, answer.json()["status"]) == (202, "queued")
    truck_choice_execute(choice_id=KEY, now=NOW, plan=by_hand)
    found = client.get(f"/api/truck-choices/{KEY}/").json()
    assert [trip["truck"] for trip in found["answer"]["trips"]] == ["Truck 7"]


def test_strangers_and_helpers(release, dock, fleet, stranger, helper):
    asked(release, dock, fleet)
    for user, page, answer in ((stranger, 404, 404), (helper, 403, 200)):
        client = Client()
        client.force_login(user)
        assert client.get(f"/loading/releases/{release.pk}/trucks/").status_code == page
        assert client.get(f"/loading/truck-choices/{KEY}/").status_code == answer
