"""A job's state as the fold of its events, in the order in which they were recorded.

Handlers are monotone: a late event adds what it knows and never moves a piece or a vault
back. Only a piece put back, a piece taken out, a vault stored and an undo go back. An undone
event counts as if it had never been, also when the undo arrives first; an undo itself cannot
be undone, what it took back is reported anew.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any, Final, TypedDict

from jobs.folding.kinds import EventKind

STORED, ON_FLOOR, IN_TRUCK, LOADED = range(4)
"""How far a piece has come: in storage, on the dock floor, carried into the truck, in its place."""

IN_LANE, ON_DOCK, GONE = range(3)
"""How far a vault has come."""

_COUNTER: Final = {ON_FLOOR: "out", IN_TRUCK: "carried", LOADED: "loaded"}


class Piece(TypedDict):
    """Where a piece is and how often it got there. Pads are None until somebody counted them."""

    stage: int
    out: int
    carried: int
    loaded: int
    returned: int
    taken_out: int
    wrapped: bool
    missing: bool
    does_not_fit: bool
    storage_pads_off: int | None
    pads_on_unpacking: int | None
    pads_on_wrapping: int | None


class Vault(TypedDict):
    """Where a vault is and how often it was moved. `lane` is the last that was reported."""

    stage: int
    lane: str | None
    moved: int
    pulled: int
    stored: int
    not_found: bool


class Presence(TypedDict):
    on: bool
    at_ms: int


class State(TypedDict):
    """All that is known of a job; plain JSON, so that it is stored as it is."""

    pieces: dict[str, Piece]
    vaults: dict[str, Vault]
    fills: dict[str, int]
    closed_tiers: list[int]
    people: dict[str, Presence]
    begun: list[str]
    exceptions: list[dict[str, str]]
    undone: list[str]


@dataclass(frozen=True, slots=True)
class FoldEvent:
    """An event as the fold looks at it. `at_ms`: when it happened, by our clock."""

    uuid: str
    kind: EventKind
    payload: Mapping[str, Any]
    at_ms: int


def empty_state() -> State:
    return State(
        pieces={},
        vaults={},
        fills={},
        closed_tiers=[],
        people={},
        begun=[],
        exceptions=[],
        undone=[],
    )


def fold(events: Sequence[FoldEvent]) -> State:
    """The state after all events of a job, oldest number first."""
    state = empty_state()
    state["undone"] = sorted(_undone_by(events))
    return advance(state, [event for event in events if event.kind is not EventKind.UNDONE])


def advance(state: State, events: Iterable[FoldEvent]) -> State:
    """The state after further events. An undo may concern what is folded in: then fold anew."""
    state = deepcopy(state)
    for event in events:
        apply(state, event)
    return state


def apply(state: State, event: FoldEvent) -> None:
    """Add one event to a state in place. Raises ValueError for an undo: fold all events anew."""
    if event.kind is EventKind.UNDONE:
        raise ValueError("an undo cannot be added to a state: fold all events anew")
    if event.uuid not in state["undone"]:
        _HANDLERS[event.kind](state, event)


def pads_in_truck(state: State) -> int:
    """Moving pads on pieces that are out of storage, and rolled pads in gaps."""
    on_pieces = sum(
        (piece["pads_on_unpacking"] or 0) + (piece["pads_on_wrapping"] or 0)
        for piece in state["pieces"].values()
    )
    return on_pieces + sum(state["fills"].values())


def _undone_by(events: Iterable[FoldEvent]) -> set[str]:
    return {event.payload["event"] for event in events if event.kind is EventKind.UNDONE}


def _piece(state: State, event: FoldEvent) -> Piece:
    return state["pieces"].setdefault(
        event.payload["tag"],
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
            storage_pads_off=None,
            pads_on_unpacking=None,
            pads_on_wrapping=None,
        ),
    )


def _vault(state: State, event: FoldEvent) -> Vault:
    return state["vaults"].setdefault(
        event.payload["vault"],
        Vault(stage=IN_LANE, lane=None, moved=0, pulled=0, stored=0, not_found=False),
    )


def _raise_to(piece: Piece, stage: int) -> None:
    """Move a piece on, never back; the stages that nobody reported are passed as well."""
    for passed in range(piece["stage"] + 1, stage + 1):
        piece[_COUNTER[passed]] += 1  # type: ignore[literal-required]
    if stage > piece["stage"]:
        piece["stage"] = stage
        piece["missing"] = False
        piece["does_not_fit"] = piece["does_not_fit"] and stage < LOADED


def _unpacked(state: State, event: FoldEvent) -> None:
    piece = _piece(state, event)
    _raise_to(piece, ON_FLOOR)
    if piece["storage_pads_off"] is None:
        piece["storage_pads_off"] = event.payload["storage_pads_off"]
        piece["pads_on_unpacking"] = event.payload["moving_pads_on"]


def _fetched(state: State, event: FoldEvent) -> None:
    piece = _piece(state, event)
    _raise_to(piece, ON_FLOOR)
    if piece["pads_on_unpacking"] is None:
        piece["pads_on_unpacking"] = event.payload["moving_pads_on"]


def _wrapped(state: State, event: FoldEvent) -> None:
    piece = _piece(state, event)
    _raise_to(piece, ON_FLOOR)
    if not piece["wrapped"]:
        piece["wrapped"] = True
        piece["pads_on_wrapping"] = event.payload["moving_pads_on"]


def _carried(state: State, event: FoldEvent) -> None:
    _raise_to(_piece(state, event), IN_TRUCK)


def _loaded(state: State, event: FoldEvent) -> None:
    _raise_to(_piece(state, event), LOADED)


def _returned(state: State, event: FoldEvent) -> None:
    piece = _piece(state, event)
    if piece["stage"] in (ON_FLOOR, IN_TRUCK):
        piece["stage"] = STORED
        piece["returned"] += 1


def _taken_out(state: State, event: FoldEvent) -> None:
    piece = _piece(state, event)
    if piece["stage"] == LOADED:
        piece["stage"] = ON_FLOOR
        piece["taken_out"] += 1


def _missing(state: State, event: FoldEvent) -> None:
    piece = _piece(state, event)
    piece["missing"] = piece["missing"] or piece["stage"] == STORED


def _does_not_fit(state: State, event: FoldEvent) -> None:
    piece = _piece(state, event)
    piece["does_not_fit"] = piece["does_not_fit"] or piece["stage"] < LOADED


def _vault_moved(state: State, event: FoldEvent) -> None:
    vault = _vault(state, event)
    if vault["lane"] != event.payload["lane"]:
        vault["lane"] = event.payload["lane"]
        vault["moved"] += 1
        vault["not_found"] = False


def _vault_pulled(state: State, event: FoldEvent) -> None:
    vault = _vault(state, event)
    if vault["stage"] == IN_LANE:
        vault["stage"] = ON_DOCK
        vault["pulled"] += 1
        vault["not_found"] = False


def _vault_stored(state: State, event: FoldEvent) -> None:
    vault = _vault(state, event)
    if vault["stage"] == IN_LANE and vault["stored"] and vault["lane"] == event.payload["lane"]:
        return
    vault["pulled"] += vault["stage"] == IN_LANE
    vault["stage"] = IN_LANE
    vault["lane"] = event.payload["lane"]
    vault["stored"] += 1


def _vault_not_found(state: State, event: FoldEvent) -> None:
    vault = _vault(state, event)
    vault["not_found"] = vault["not_found"] or vault["stage"] == IN_LANE


def _vault_cleared(state: State, event: FoldEvent) -> None:
    vault = _vault(state, event)
    vault["pulled"] += vault["stage"] == IN_LANE
    vault["stage"] = GONE
    vault["not_found"] = False


def _fill_placed(state: State, event: FoldEvent) -> None:
    state["fills"].setdefault(str(event.payload["fill"]), event.payload["pads"])


def _tier_closed(state: State, event: FoldEvent) -> None:
    state["closed_tiers"] = sorted({*state["closed_tiers"], event.payload["tier"]})


def _exception_noted(state: State, event: FoldEvent) -> None:
    noted = {"uuid": event.uuid, "tag": event.payload["tag"], "note": event.payload["note"]}
    state["exceptions"].append(noted)


def _presence(state: State, event: FoldEvent) -> None:
    member = str(event.payload["member"])
    known = state["people"].get(member)
    if known is None or event.at_ms >= known["at_ms"]:
        state["people"][member] = Presence(on=event.kind is EventKind.HELPER_ON, at_ms=event.at_ms)


def _begun(state: State, event: FoldEvent) -> None:
    state["begun"] = sorted({*state["begun"], event.payload["task"]})


_HANDLERS: Final[Mapping[EventKind, Callable[[State, FoldEvent], None]]] = {
    EventKind.VAULT_MOVED: _vault_moved,
    EventKind.VAULT_PULLED: _vault_pulled,
    EventKind.VAULT_STORED: _vault_stored,
    EventKind.VAULT_NOT_FOUND: _vault_not_found,
    EventKind.VAULT_CLEARED: _vault_cleared,
    EventKind.PIECE_UNPACKED: _unpacked,
    EventKind.PIECE_FETCHED: _fetched,
    EventKind.PIECE_WRAPPED: _wrapped,
    EventKind.PIECE_CARRIED: _carried,
    EventKind.PIECE_LOADED: _loaded,
    EventKind.PIECE_RETURNED: _returned,
    EventKind.PIECE_TAKEN_OUT: _taken_out,
    EventKind.PIECE_MISSING: _missing,
    EventKind.PIECE_DOES_NOT_FIT: _does_not_fit,
    EventKind.FILL_PLACED: _fill_placed,
    EventKind.TIER_CLOSED: _tier_closed,
    EventKind.EXCEPTION_NOTED: _exception_noted,
    EventKind.HELPER_ON: _presence,
    EventKind.HELPER_OFF: _presence,
    EventKind.TASK_BEGUN: _begun,
}
