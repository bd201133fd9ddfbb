"""How events move a piece: never back, except by putting back and taking out."""

from typing import Final

from jobs.folding.pads import (
    MOVING_ON_PIECES,
    MOVING_STACK,
    STORAGE_ON_PIECES,
    STORAGE_STACK,
    pads_move,
)
from jobs.folding.state import (
    IN_TRUCK,
    LOADED,
    ON_FLOOR,
    STORED,
    FoldEvent,
    Piece,
    State,
    later,
)

_COUNTER: Final = {ON_FLOOR: "out", IN_TRUCK: "carried", LOADED: "loaded"}
_STEP: Final = {ON_FLOOR: "out", LOADED: "load"}


def piece_in(state: State, tag: str) -> Piece:
    """The piece's entry; a piece of which nothing was heard is in storage."""
    return state["pieces"].setdefault(
        tag,
        Piece(
            stage=STORED,
            out=0,
            carried=0,
            loaded=0,
            returned=0,
            taken_out=0,
            wrapped=False,
            missing=False,
            does_not_fit=False,
            refused=0,
            storage_pads_off=None,
            pads_on_unpacking=None,
            pads_on_wrapping=None,
            pads_changed=0,
            storage_pads_changed=0,
        ),
    )


def raise_to(state: State, tag: str, stage: int) -> Piece:
    """Move a piece on, never back; the stages that nobody reported are passed as well."""
    piece = piece_in(state, tag)
    for passed in range(piece["stage"] + 1, stage + 1):
        piece[_COUNTER[passed]] += 1  # type: ignore[literal-required]
        if passed in _STEP:
            state["steps"].append([_STEP[passed], tag])
    if stage > piece["stage"]:
        piece["stage"] = stage
        piece["missing"] = False
        piece["does_not_fit"] = piece["does_not_fit"] and stage < LOADED
    if stage == LOADED:
        state["wanted"].pop(tag, None)
    return piece


def unpacked(state: State, event: FoldEvent) -> None:
    piece = raise_to(state, event.payload["tag"], ON_FLOOR)
    if piece["storage_pads_off"] is None:
        piece["storage_pads_off"] = event.payload["storage_pads_off"]
        pads_move(state, STORAGE_ON_PIECES, STORAGE_STACK, event.payload["storage_pads_off"])
    if piece["pads_on_unpacking"] is None:
        piece["pads_on_unpacking"] = event.payload["moving_pads_on"]
        pads_move(state, MOVING_STACK, MOVING_ON_PIECES, event.payload["moving_pads_on"])


def fetched(state: State, event: FoldEvent) -> None:
    piece = raise_to(state, event.payload["tag"], ON_FLOOR)
    if piece["pads_on_unpacking"] is None:
        piece["pads_on_unpacking"] = event.payload["moving_pads_on"]
        pads_move(state, MOVING_STACK, MOVING_ON_PIECES, event.payload["moving_pads_on"])


def wrapped(state: State, event: FoldEvent) -> None:
    piece = raise_to(state, event.payload["tag"], ON_FLOOR)
    if not piece["wrapped"]:
        piece["wrapped"] = True
        piece["pads_on_wrapping"] = event.payload["moving_pads_on"]
        pads_move(state, MOVING_STACK, MOVING_ON_PIECES, event.payload["moving_pads_on"])


def pads_changed(state: State, event: FoldEvent) -> None:
    """Counted on top of what unpacking and wrapping counted, however often."""
    piece = piece_in(state, event.payload["tag"])
    said = event.payload
    on = said["moving_pads_on"] - said["moving_pads_off"]
    piece["pads_changed"] += on
    piece["storage_pads_changed"] += said["storage_pads_off"]
    pads_move(state, MOVING_STACK, MOVING_ON_PIECES, on)
    pads_move(state, STORAGE_ON_PIECES, STORAGE_STACK, said["storage_pads_off"])


def carried(state: State, event: FoldEvent) -> None:
    raise_to(state, event.payload["tag"], _as_far_as_this_truck(state, event, IN_TRUCK))


def loaded(state: State, event: FoldEvent) -> None:
    raise_to(state, event.payload["tag"], _as_far_as_this_truck(state, event, LOADED))


def loaded_elsewhere(state: State, event: FoldEvent) -> None:
    stage = _as_far_as_this_truck(state, event, LOADED)
    raise_to(state, event.payload["tag"], stage)
    if stage == LOADED:
        where = {name: value for name, value in event.payload.items() if name != "tag"}
        known = state["elsewhere"].get(event.payload["tag"])
        state["elsewhere"][event.payload["tag"]] = later(known, where, event.at_ms)


def returned(state: State, event: FoldEvent) -> None:
    piece = piece_in(state, event.payload["tag"])
    if piece["stage"] in (ON_FLOOR, IN_TRUCK):
        piece["stage"] = STORED
        piece["returned"] += 1
        state["steps"].append(["return", event.payload["tag"]])


def taken_out(state: State, event: FoldEvent) -> None:
    piece = piece_in(state, event.payload["tag"])
    if piece["stage"] == LOADED:
        piece["stage"] = ON_FLOOR
        piece["taken_out"] += 1
        state["elsewhere"].pop(event.payload["tag"], None)
        state["steps"].append(["take_out", event.payload["tag"]])


def missing(state: State, event: FoldEvent) -> None:
    piece = piece_in(state, event.payload["tag"])
    piece["missing"] = piece["missing"] or piece["stage"] == STORED


def does_not_fit(state: State, event: FoldEvent) -> None:
    piece = piece_in(state, event.payload["tag"])
    if piece["stage"] < LOADED:
        piece["does_not_fit"] = True
        piece["refused"] += 1


def _as_far_as_this_truck(state: State, event: FoldEvent, stage: int) -> int:
    """What went into a truck that was changed since stands on the floor again."""
    truck = state["truck"]
    return ON_FLOOR if truck is not None and event.at_ms < truck["at_ms"] else stage
