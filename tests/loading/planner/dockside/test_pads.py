"""Storage pads off, moving pads on: what the warehouse gets back, what the truck must have."""

from dataclasses import replace

from loading.planner.dockside import PadBatch, PadMoment, pad_swap
from loading.planner.plan import Fill
from loading.planner.request import LoadRequest
from tests.loading.planner.dockside.docks import plan_of, request_of

TABLE = {"wrap": True, "pads": 3, "storage_pads": 2}
CHAIR = {"wrap": True}
DAY = ("pull V1", "unpack 1", "unpack 2", "load 1", "load 2", "fill 1", "close 1", "clear V1")
ROLL = Fill(1, 1, (0, 0, 0), (300, 300, 300), 2)


def stored(stock: int | None = None) -> LoadRequest:
    request = request_of({"V1": "1 2 3"}, **{"1": TABLE, "2": CHAIR})
    return replace(request, truck=replace(request.truck, pads=stock))


def test_pads_change_hands_where_a_piece_comes_out_or_a_gap_is_filled() -> None:
    swap = pad_swap(stored(), plan_of(*DAY, fills=(ROLL,)))
    assert swap.moments == (PadMoment(2, 3, 2), PadMoment(3, 5, 4), PadMoment(6, 7, 4))
    assert (swap.wrapping, swap.rolled, swap.needed, swap.storage_back) == (5, 2, 7, 4)


def test_a_piece_that_is_not_wrapped_needs_none() -> None:
    assert pad_swap(stored(), plan_of("pull V1", "unpack 3", "load 3")).needed == 0


def test_each_vault_says_how_many_pads_must_be_there() -> None:
    request = request_of({"V1": "1", "V2": "2"}, **{"1": TABLE, "2": CHAIR, "9": CHAIR})
    plan = plan_of("fetch 9", "pull V2", "unpack 2", "clear V2", "pull V1", "unpack 1")
    assert pad_swap(request, plan).batches == (
        PadBatch(1, None, 2),
        PadBatch(2, "V2", 2),
        PadBatch(5, "V1", 3),
    )


def test_too_few_pads_are_told_with_the_step_where_they_end() -> None:
    swap = pad_swap(stored(4), plan_of(*DAY, fills=(ROLL,)))
    assert (swap.short_at, swap.short) == (3, 3)


def test_enough_pads_are_not_short() -> None:
    swap = pad_swap(stored(7), plan_of(*DAY, fills=(ROLL,)))
    assert (swap.short_at, swap.short) == (None, 0)


def test_a_piece_that_goes_back_gets_its_storage_pads_again() -> None:
    swap = pad_swap(stored(), plan_of("pull V1", "unpack 1", "return 1", "unpack 1", "load 1"))
    assert swap.moments == (
        PadMoment(2, 3, 2),
        PadMoment(3, 0, 0),
        PadMoment(4, 3, 2),
    )


def test_a_piece_that_only_makes_way_keeps_its_pads() -> None:
    request = request_of({"V1": "1 2"}, **{"1": TABLE | {"leaves": False}})
    plan = plan_of("pull V1", "unpack 1", "unpack 2", "load 2", "return 1", "store V1 A")
    assert pad_swap(request, plan).moments == ()


def test_a_piece_taken_out_of_the_truck_keeps_its_pads() -> None:
    swap = pad_swap(stored(), plan_of("pull V1", "unpack 1", "load 1", "take_out 1", "load 1"))
    assert swap.needed == 3
