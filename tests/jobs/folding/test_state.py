"""The fold: what is known after which events."""

from itertools import count
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.folding import EventKind, FoldEvent, advance, empty_state, fold
from jobs.folding.state import GONE, IN_LANE, LOADED, ON_DOCK, ON_FLOOR, STORED, pads_in_truck

_numbers = count(1)


def _event(kind: EventKind, at_ms: int = 0, **payload: Any) -> FoldEvent:
    return FoldEvent(uuid=f"e{next(_numbers)}", kind=kind, payload=payload, at_ms=at_ms)


def _unpacked(tag: str, off: int = 0, on: int = 0) -> FoldEvent:
    return _event(EventKind.PIECE_UNPACKED, tag=tag, storage_pads_off=off, moving_pads_on=on)


def test_nothing_is_known_at_first() -> None:
    assert fold([]) == empty_state()


def test_stages_that_nobody_reported_are_passed() -> None:
    piece = fold([_event(EventKind.PIECE_LOADED, tag="001")])["pieces"]["001"]
    assert (piece["out"], piece["carried"], piece["loaded"]) == (1, 1, 1)


@given(
    st.permutations(
        [
            _unpacked("001", off=3),
            *(
                _event(kind, tag="001")
                for kind in (EventKind.PIECE_CARRIED, EventKind.PIECE_LOADED)
            ),
        ]
    )
)
def test_the_order_of_arrival_does_not_matter_on_the_way_in(events: list[FoldEvent]) -> None:
    piece = fold(events)["pieces"]["001"]
    assert (piece["stage"], piece["storage_pads_off"]) == (LOADED, 3)
    assert (piece["out"], piece["carried"], piece["loaded"]) == (1, 1, 1)


def test_only_taking_out_and_putting_back_go_back() -> None:
    loaded = fold([_event(EventKind.PIECE_LOADED, tag="001")])
    out = advance(loaded, [_event(EventKind.PIECE_TAKEN_OUT, tag="001")])
    assert out["pieces"]["001"]["stage"] == ON_FLOOR
    back = advance(out, [_event(EventKind.PIECE_RETURNED, tag="001")])
    assert back["pieces"]["001"]["stage"] == STORED
    again = advance(back, [_event(EventKind.PIECE_LOADED, tag="001")])
    assert again["pieces"]["001"]["loaded"] == 2


def test_a_piece_that_is_not_loaded_cannot_be_taken_out() -> None:
    state = fold([_unpacked("001"), _event(EventKind.PIECE_TAKEN_OUT, tag="001")])
    assert (state["pieces"]["001"]["stage"], state["pieces"]["001"]["taken_out"]) == (ON_FLOOR, 0)


def test_a_piece_that_turns_up_is_not_missing() -> None:
    missing = _event(EventKind.PIECE_MISSING, tag="001")
    assert fold([missing])["pieces"]["001"]["missing"]
    assert not fold([missing, _unpacked("001")])["pieces"]["001"]["missing"]
    assert not fold([_unpacked("001"), missing])["pieces"]["001"]["missing"]


def test_what_fits_after_all_fits() -> None:
    stuck = [_unpacked("001"), _event(EventKind.PIECE_DOES_NOT_FIT, tag="001", note="")]
    assert fold(stuck)["pieces"]["001"]["does_not_fit"]
    loaded = _event(EventKind.PIECE_LOADED, tag="001")
    assert not fold([*stuck, loaded])["pieces"]["001"]["does_not_fit"]


def test_pads_are_those_on_pieces_and_in_gaps() -> None:
    state = fold(
        [
            _unpacked("001", off=3, on=1),
            _event(EventKind.PIECE_WRAPPED, tag="001", moving_pads_on=2),
            _event(EventKind.PIECE_WRAPPED, tag="001", moving_pads_on=5),
            _event(EventKind.FILL_PLACED, fill=1, pads=4),
            _event(EventKind.FILL_PLACED, fill=1, pads=6),
        ]
    )
    assert pads_in_truck(state) == 7


def test_a_vault_goes_from_its_lane_to_the_dock_and_away() -> None:
    pulled = _event(EventKind.VAULT_PULLED, vault="V1")
    cleared = _event(EventKind.VAULT_CLEARED, vault="V1")
    assert fold([pulled])["vaults"]["V1"]["stage"] == ON_DOCK
    assert fold([pulled, cleared])["vaults"]["V1"]["stage"] == GONE
    assert fold([cleared, pulled])["vaults"]["V1"]["stage"] == GONE
    stored = _event(EventKind.VAULT_STORED, vault="V1", lane="L2")
    vault = fold([pulled, stored, stored])["vaults"]["V1"]
    assert (vault["stage"], vault["lane"], vault["stored"]) == (IN_LANE, "L2", 1)


def test_a_vault_that_is_found_is_no_longer_sought() -> None:
    sought = _event(EventKind.VAULT_NOT_FOUND, vault="V1")
    assert fold([sought])["vaults"]["V1"]["not_found"]
    pulled = _event(EventKind.VAULT_PULLED, vault="V1")
    assert not fold([sought, pulled])["vaults"]["V1"]["not_found"]
    assert not fold([pulled, sought])["vaults"]["V1"]["not_found"]


def test_who_is_on_the_floor_is_as_was_last_seen_not_last_heard() -> None:
    on = _event(EventKind.HELPER_ON, at_ms=1000, member=7)
    off = _event(EventKind.HELPER_OFF, at_ms=2000, member=7)
    assert not fold([on, off])["people"]["7"]["on"]
    assert not fold([off, on])["people"]["7"]["on"]


def test_an_undone_event_has_never_been_whichever_comes_first() -> None:
    loaded = _event(EventKind.PIECE_LOADED, tag="001")
    undone = _event(EventKind.UNDONE, event=loaded.uuid)
    assert fold([loaded, undone])["pieces"] == fold([undone, loaded])["pieces"] == {}


def test_an_undo_cannot_be_undone() -> None:
    loaded = _event(EventKind.PIECE_LOADED, tag="001")
    undone = _event(EventKind.UNDONE, event=loaded.uuid)
    assert fold([loaded, undone, _event(EventKind.UNDONE, event=undone.uuid)])["pieces"] == {}


def test_an_undo_asks_for_a_fresh_fold() -> None:
    with pytest.raises(ValueError, match="fold all events anew"):
        advance(empty_state(), [_event(EventKind.UNDONE, event="e0")])


def test_adding_events_leaves_the_former_state_alone() -> None:
    state = fold([_unpacked("001")])
    advance(state, [_event(EventKind.PIECE_LOADED, tag="001")])
    assert state["pieces"]["001"]["stage"] == ON_FLOOR
