"""Which truck, and what goes second. Planned by a simple rule here: pieces in a row."""

from dataclasses import replace
from typing import Any

from loading.planner.fitting import choose, only
from loading.planner.fitting.leaving import left_for_later
from loading.planner.plan import LeftOff, LoadPlan, Placement, Step
from loading.planner.request import LoadRequest, Truck
from tests.loading.planner.fitting.trucks import piece, request_of

CUBE = (1000, 1000, 1000)


def row(request: LoadRequest) -> LoadPlan:
    """Loads pieces one behind the other until the truck's length is used up."""
    placements: list[Placement] = []
    left: list[LeftOff] = []
    at = 0
    for item in request.items:
        if not item.leaves:
            continue
        if at + item.size_mm[0] > request.truck.interior_mm[0]:
            left.append(LeftOff(item.tag, "no length left"))
            continue
        place = Placement(
            item.tag, len(placements) + 1, "base", (at, 0, 0), item.size_mm, "standing"
        )
        placements.append(place)
        at += item.size_mm[0]
    steps = tuple(Step("load", tag=place.tag) for place in placements)
    return LoadPlan(request.name, steps, tuple(placements), left_off=tuple(left))


def trucks(request: LoadRequest, *lengths_m: int, **keys: Any) -> list[Truck]:
    return [
        replace(request.truck, name=f"{m} m", interior_mm=(1000 * m, 1000, 1000), **keys)
        for m in lengths_m
    ]


def household(pieces: int, **keys: Any) -> LoadRequest:
    return request_of(*(piece(f"{n}", CUBE, **keys) for n in range(pieces)))


def test_the_smallest_truck_that_takes_all() -> None:
    request = household(3)

    choice = choose(request, trucks(request, 5, 2, 4), row, takes_s=lambda _, plan: len(plan.steps))

    (trip,) = choice.trips
    assert (trip.offer.truck.name, trip.tags) == ("4 m", ("0", "1", "2"))
    assert trip.offer.length_left_mm == 1000
    assert trip.offer.payload_left_g == 5_000_000 - 30_000
    assert trip.offer.takes_s == 3
    assert [offer.truck.name for offer in choice.offers] == ["2 m", "4 m"]
    assert choice.stays == ()


def test_a_truck_that_cannot_take_it_is_not_planned() -> None:
    request = household(3)
    asked: list[str] = []

    def counting(wanted: LoadRequest) -> LoadPlan:
        asked.append(wanted.truck.name)
        return row(wanted)

    fleet = [*trucks(request, 2, 4), *trucks(request, 3, payload_g=29_000)]
    choice = choose(request, fleet, counting)

    assert asked == ["4 m"]
    assert [offer.why for offer in choice.offers] == [
        "the goods take 3.0 m3, the truck has 2.0 m3",
        "the goods weigh 30 kg, the payload is 29 kg",
        "",
    ]


def test_larger_trucks_are_compared_if_asked() -> None:
    request = household(3)

    choice = choose(request, trucks(request, 3, 5), row, compare_all=True)

    assert [offer.length_left_mm for offer in choice.offers] == [0, 2000]
    assert choice.trips[0].offer.truck.name == "3 m"


def test_what_goes_second_by_stop() -> None:
    request = request_of(
        *(piece(f"{n}", CUBE, stop=stop) for n, stop in enumerate((3, 1, 2, 1, 2)))
    )

    choice = choose(request, trucks(request, 2, 3), row)

    first, second = choice.trips
    assert (first.offer.truck.name, first.tags) == ("3 m", ("1", "3", "4"))
    assert (second.offer.truck.name, second.tags) == ("2 m", ("0", "2"))
    assert choice.stays == ()


def test_a_set_stays_together_and_what_is_wanted_first_goes_first() -> None:
    request = request_of(
        piece("0", CUBE, set="bed"),
        piece("1", CUBE, last_on=True),
        piece("2", CUBE),
        piece("3", CUBE, set="bed"),
    )

    choice = choose(request, trucks(request, 2), row)

    assert [trip.tags for trip in choice.trips] == [("1", "2"), ("0", "3")]


def test_what_no_trip_takes_is_told_with_its_reason() -> None:
    request = household(5)

    choice = choose(request, trucks(request, 2), row)

    assert [len(trip.tags) for trip in choice.trips] == [2, 2]
    assert [reason for _, reason in choice.stays] == ["no length left"]


def test_no_truck_at_all() -> None:
    choice = choose(household(2), [], row)

    assert (choice.offers, choice.trips) == ((), ())
    assert [tag for tag, _ in choice.stays] == ["0", "1"]


def test_every_piece_is_on_one_trip_or_stays() -> None:
    for pieces in range(1, 9):
        for lengths in ((1,), (2, 3), (1, 2, 4)):
            request = household(pieces)
            choice = choose(request, trucks(request, *lengths), row)
            gone = [tag for trip in choice.trips for tag in trip.tags]
            stays = [tag for tag, _ in choice.stays]
            assert sorted(gone + stays) == [f"{n}" for n in range(pieces)]


def test_only_some_of_the_pieces_leave() -> None:
    request = only(household(3), ["1"])

    assert [item.leaves for item in request.items] == [False, True, False]


def test_the_smallest_unit_that_will_do_is_left() -> None:
    request = request_of(
        piece("0", (1000, 1000, 900)), piece("1", (300, 300, 300)), piece("2", (500, 500, 500))
    )

    assert left_for_later(request, volume_mm3=100_000_000, weight_g=0) == ("2",)
    assert left_for_later(request, volume_mm3=1_000_000_000, weight_g=0) == ("0", "2")
    assert left_for_later(request, volume_mm3=0, weight_g=0) == ()
