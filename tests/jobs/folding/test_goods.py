"""The fold of what is said of the goods, the truck and the crew's day."""

from itertools import count
from typing import Any

import pytest

from jobs.folding import (
    EventKind,
    FoldEvent,
    conflict_of,
    empty_state,
    fold,
    plan_facts,
    task_outcomes,
)
from jobs.folding.kinds import FIELDS
from jobs.folding.state import LOADED, ON_DOCK, ON_FLOOR, STORED, is_paused, pads_in_truck, piece_of
from tests.jobs.folding.test_outcome import Work
from tests.jobs.reports import sample_payload

_numbers = count(1)


def _event(kind: EventKind, at_ms: int = 0, **payload: Any) -> FoldEvent:
    return FoldEvent(uuid=f"g{next(_numbers)}", kind=kind, payload=payload, at_ms=at_ms)


def _size(at_ms: int, *size_mm: int) -> FoldEvent:
    names = ("length_mm", "width_mm", "height_mm")
    return _event(
        EventKind.SIZE_CORRECTED, at_ms, tag="001", **dict(zip(names, size_mm, strict=True))
    )


def _new(kind: EventKind, tag: str) -> FoldEvent:
    size = {"length_mm": 600, "width_mm": 500, "height_mm": 400}
    return _event(kind, tag=tag, name="lamp", weight_g=4000, **size)


def _apart(tag: str) -> FoldEvent:
    part = {"name": "leg", "length_mm": 700, "width_mm": 80, "height_mm": 80, "weight_g": 900}
    return _event(EventKind.PIECE_TAKEN_APART, tag=tag, parts=[part, part])


def test_the_last_measuring_counts_whenever_it_arrives() -> None:
    first, second = _size(1000, 600, 500, 400), _size(2000, 610, 500, 400)
    for events in ([first, second], [second, first]):
        assert fold(events)["sizes"]["001"]["value"] == [610, 500, 400]


def test_a_piece_that_no_list_had_stands_on_the_floor() -> None:
    state = fold([_new(EventKind.PIECE_NOT_ON_LIST, "901")])
    assert state["extra"]["901"]["origin"] == "found"
    assert state["pieces"]["901"]["stage"] == ON_FLOOR
    assert state["steps"] == [["out", "901"]]


def test_parts_carry_the_tag_of_the_whole_which_is_no_more() -> None:
    state = fold([_apart("006"), _apart("006")])
    assert sorted(state["extra"]) == ["006/1", "006/2"]
    assert state["gone"]["006"]["how"] == "apart"
    load = Work("load", tag="006")
    assert task_outcomes(state, [load]).dropped == {load.key}


def test_two_cartons_made_one_are_in_one_place() -> None:
    there = _event(EventKind.CARTONS_JOINED, tag="002", gone="003")
    back = _event(EventKind.CARTONS_JOINED, tag="003", gone="002")
    itself = _event(EventKind.CARTONS_JOINED, tag="002", gone="002")
    assert fold([there, back, itself])["gone"] == {"003": {"how": "joined", "into": "002"}}


def test_either_tag_of_a_piece_will_do_once_it_has_a_new_one() -> None:
    unpacked = _event(EventKind.PIECE_UNPACKED, tag="001", storage_pads_off=0, moving_pads_on=0)
    retagged = _event(EventKind.PIECE_RETAGGED, tag="001", number="701")
    loaded = _event(EventKind.PIECE_LOADED, tag="701")
    for events in ([unpacked, retagged, loaded], [loaded, unpacked, retagged]):
        state = fold(events)
        assert list(state["pieces"]) == ["001"]
        assert state["numbers"] == {"001": "701"}
        assert piece_of(state, "701") == state["pieces"]["001"]
        assert state["pieces"]["001"]["stage"] == LOADED


def test_a_tag_that_another_piece_has_is_a_conflict_and_changes_none() -> None:
    facts = plan_facts([Work("load", tag="001"), Work("load", tag="002")])
    event = _event(EventKind.PIECE_RETAGGED, tag="001", number="002")
    assert conflict_of(fold([]), facts, event) == "tag_in_use"
    told = FoldEvent(event.uuid, event.kind, event.payload, 0, conflict="tag_in_use")
    assert fold([told])["renamed"] == {}


def test_another_truck_stands_empty() -> None:
    events = [
        _event(EventKind.PIECE_LOADED, 1000, tag="001"),
        _event(EventKind.FILL_PLACED, 1000, fill=1, pads=4),
        _event(EventKind.TIER_CLOSED, 1000, tier=1),
        _event(EventKind.TRUCK_CHANGED, 2000, truck=7),
        _event(EventKind.PIECE_LOADED, 1500, tag="002"),
    ]
    state = fold(events)
    assert [state["pieces"][tag]["stage"] for tag in ("001", "002")] == [ON_FLOOR, ON_FLOOR]
    assert (state["fills"], state["closed_tiers"], pads_in_truck(state)) == ({}, [], 0)
    assert state["steps"] == [["out", "001"], ["out", "002"]]
    again = fold([*events, _event(EventKind.PIECE_LOADED, 3000, tag="001")])
    assert again["pieces"]["001"]["loaded"] == 1


def test_a_new_plan_answers_for_what_did_not_fit() -> None:
    stuck = _event(EventKind.PIECE_DOES_NOT_FIT, tag="001", note="")
    published = _event(EventKind.PLAN_PUBLISHED, version=2, tags=["001"])
    piece = fold([stuck, published])["pieces"]["001"]
    assert (piece["does_not_fit"], piece["refused"]) == (False, 1)


def test_pieces_of_a_vault_that_cannot_be_had_hold_nobody_up() -> None:
    tasks = [
        Work("pull", vault="V1", key="pull"),
        Work("unpack", tag="001", vault="V1", key="unpack"),
        Work("load", tag="001", key="load"),
        Work("load", tag="002", key="other"),
    ]
    blocked = _event(EventKind.VAULT_BLOCKED, vault="V1", note="")
    assert task_outcomes(fold([blocked]), tasks).dropped == {"pull", "unpack", "load"}
    had = fold([blocked, _event(EventKind.VAULT_PULLED, vault="V1")])
    assert task_outcomes(had, tasks).dropped == frozenset()


def test_what_the_customer_took_has_left() -> None:
    taken = _event(EventKind.PIECE_TAKEN_BY_CUSTOMER, tag="001", note="")
    facts = plan_facts([Work("load", tag="001", tier=1)])
    loaded = _event(EventKind.PIECE_LOADED, tag="001")
    assert conflict_of(fold([taken]), facts, loaded) == "has_left"


def test_a_pause_ends_as_was_said_last() -> None:
    paused = _event(EventKind.JOB_PAUSED, 1000, reason="meal", note="")
    resumed = _event(EventKind.JOB_RESUMED, 2000)
    assert is_paused(fold([paused]))
    assert not is_paused(fold([resumed, paused]))


def test_who_is_on_a_break_is_not_on_the_floor() -> None:
    state = fold([_event(EventKind.HELPER_BREAK, 1000, member=7)])
    assert (state["people"]["7"]["on"], state["people"]["7"]["on_break"]) == (False, True)


def test_the_way_of_the_load_is_kept() -> None:
    state = fold(
        [
            _event(EventKind.DOORS_CLOSED, 1000, seal="55-1"),
            _event(EventKind.DEPARTED, 2000),
            _event(EventKind.ARRIVED, 3000, stop=1),
        ]
    )
    assert list(state["journey"]) == ["doors", "departed", "arrived 1"]
    assert state["journey"]["doors"]["value"] == {"seal": "55-1"}


def test_a_piece_put_back_is_in_storage_again() -> None:
    events = [
        _event(EventKind.PIECE_FETCHED, tag="007", moving_pads_on=0),
        _event(EventKind.PIECE_RETURNED, tag="007"),
    ]
    assert fold(events)["pieces"]["007"]["stage"] == STORED
    assert fold(events)["steps"] == [["out", "007"], ["return", "007"]]


def _wanted(tag: str, tier: int, at_ms: int = 0) -> FoldEvent:
    return _event(EventKind.PIECE_WANTED, at_ms, tag=tag, tier=tier)


def test_a_wanted_piece_is_brought_until_it_is_loaded() -> None:
    carry = Work("carry", tag="001", key="carry:001")
    asked = [_wanted("001", 2, at_ms=2), _wanted("001", 1, at_ms=1)]
    state = fold(asked)
    assert task_outcomes(state, [carry, Work("load", tag="001")]).wanted == {"carry:001": 2}
    loaded = _event(EventKind.PIECE_LOADED, tag="001")
    for events in ([*asked, loaded], [loaded, *asked]):
        assert not fold(events)["wanted"]
    carried = fold([*asked, _event(EventKind.PIECE_CARRIED, tag="001")])
    assert not task_outcomes(carried, [carry]).wanted


def test_another_truck_has_other_gaps() -> None:
    changed = _event(EventKind.TRUCK_CHANGED, at_ms=5, truck=1)
    assert not fold([_wanted("001", 1, at_ms=2), changed])["wanted"]
    assert not fold([changed, _wanted("001", 1, at_ms=2)])["wanted"]
    assert fold([changed, _wanted("001", 1, at_ms=6)])["wanted"]


def test_a_wish_contradicts_only_what_is_loaded_or_gone() -> None:
    facts = plan_facts([Work("load", tag="001", tier=1)])
    assert conflict_of(fold([]), facts, _wanted("077", 1)) == ""
    loaded = fold([_event(EventKind.PIECE_LOADED, tag="001")])
    assert conflict_of(loaded, facts, _wanted("001", 1)) == "known_already"
    gone = fold([_event(EventKind.PIECE_TAKEN_BY_CUSTOMER, tag="001", note="")])
    assert conflict_of(gone, facts, _wanted("001", 1)) == "has_left"


def test_pads_that_are_changed_are_counted_on_top() -> None:
    unpacked = _event(EventKind.PIECE_UNPACKED, tag="001", storage_pads_off=2, moving_pads_on=1)
    changed = {"storage_pads_off": 1, "moving_pads_on": 3, "moving_pads_off": 1}
    events = [unpacked, _event(EventKind.PADS_CHANGED, tag="001", **changed)]
    state = fold(events)
    assert pads_in_truck(state) == 3
    assert state["pads"] == {
        "storage_on_pieces": -3,
        "storage_stack": 3,
        "moving_stack": -3,
        "moving_on_pieces": 3,
    }


def test_hardware_is_in_the_box_that_was_named_first() -> None:
    boxed = [_event(EventKind.HARDWARE_BOXED, tag="001", box=box) for box in ("P1", "P2")]
    assert fold(boxed)["hardware"] == {"001": "P1"}


def test_the_last_word_on_who_took_the_load_over_counts() -> None:
    told = [_event(EventKind.HANDED_OVER, at_ms, to=to) for at_ms, to in ((2, "B"), (1, "A"))]
    assert fold(told)["journey"]["handed_over"]["value"] == {"to": "B"}


def test_a_seal_is_as_was_seen_last() -> None:
    seen = [
        _event(EventKind.SEAL_BROKEN, at_ms, vault="V1", seal=seal, intact=intact)
        for at_ms, seal, intact in ((2, "88", True), (1, "87", False))
    ]
    assert fold(seen)["seals"]["V1"]["value"] == {"seal": "88", "intact": True}


def test_a_damaged_vault_is_moved_all_the_same() -> None:
    seen = [
        _event(EventKind.VAULT_DAMAGED, at_ms, vault="V1", note=note)
        for at_ms, note in ((2, "skid broken"), (1, "door bent"))
    ]
    state = fold([*seen, seen[0], _event(EventKind.VAULT_PULLED, vault="V1")])
    assert state["vault_damage"]["V1"]["value"] == "skid broken"
    assert state["vaults"]["V1"]["stage"] == ON_DOCK
    assert fold(seen[::-1])["vault_damage"] == fold(seen)["vault_damage"]
    undone = _event(EventKind.UNDONE, event=seen[0].uuid)
    assert fold([*seen[:1], undone])["vault_damage"] == {}


def test_begun_work_is_begun_once() -> None:
    begun = [_event(EventKind.TASK_BEGUN, task=task) for task in ("load:2", "load:1", "load:2")]
    assert fold(begun)["begun"] == ["load:1", "load:2"]


@pytest.mark.parametrize("kind", EventKind)
def test_every_kind_leaves_its_mark(kind: EventKind) -> None:
    payload = sample_payload(FIELDS[kind])
    told = payload | {name: "012" for name in payload if name == "tag"}
    assert fold([_event(kind, **told)]) != empty_state()
