"""What is known of a job: plain JSON, so that it is stored as it is."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypedDict

from jobs.folding.kinds import EventKind

STORED, ON_FLOOR, IN_TRUCK, LOADED = range(4)
"""How far a piece has come: in storage, on the dock floor, carried into the truck, in its place."""

IN_LANE, ON_DOCK, GONE = range(3)
"""How far a vault has come."""


class Piece(TypedDict):
    """Where a piece is and how often it got there. Pads are None until somebody counted them.

    `refused` counts how often it did not fit; `does_not_fit` stands until a plan has answered it.
    """

    stage: int
    out: int
    carried: int
    loaded: int
    returned: int
    taken_out: int
    wrapped: bool
    missing: bool
    does_not_fit: bool
    refused: int
    storage_pads_off: int | None
    pads_on_unpacking: int | None
    pads_on_wrapping: int | None
    pads_changed: int
    storage_pads_changed: int


class Vault(TypedDict):
    """Where a vault is and how often it was moved. `lane` is the last that was reported."""

    stage: int
    lane: str | None
    moved: int
    pulled: int
    stored: int
    not_found: bool
    blocked: bool


class Extra(TypedDict):
    """A piece that no list had. `origin`: "found", "carton" or "part"; a part's parent is `of`."""

    name: str
    size_mm: list[int]
    weight_g: int
    origin: str
    of: str


class Gone(TypedDict):
    """Why a piece is no more: "customer", "apart" (into parts), or "joined" into another."""

    how: str
    into: str


class Presence(TypedDict):
    on: bool
    on_break: bool
    at_ms: int


class Said(TypedDict):
    """The last word on something, by when it was said."""

    value: Any
    at_ms: int


class State(TypedDict):
    """All that is known of a job.

    `steps` are those of the planning contract that were done since the job began, as far as they
    still count ("out" stands for unpack or fetch: the request knows which); `numbers` maps a
    piece to its new tag, `renamed` new tags to pieces; `left` tells why a piece stays behind;
    `wanted` in which tier the loader has a gap for a piece.
    """

    pieces: dict[str, Piece]
    vaults: dict[str, Vault]
    fills: dict[str, int]
    pads: dict[str, int]
    closed_tiers: list[int]
    steps: list[list[str]]
    elsewhere: dict[str, Said]
    sizes: dict[str, Said]
    weights: dict[str, Said]
    stops: dict[str, Said]
    wanted: dict[str, Said]
    extra: dict[str, Extra]
    gone: dict[str, Gone]
    left: dict[str, str]
    hardware: dict[str, str]
    seals: dict[str, Said]
    vault_damage: dict[str, Said]
    people: dict[str, Presence]
    begun: list[str]
    pause: Said | None
    truck: Said | None
    way: Said | None
    published: list[int]
    journey: dict[str, Any]
    exceptions: list[dict[str, str]]
    undone: list[str]
    renamed: dict[str, str]
    numbers: dict[str, str]


@dataclass(frozen=True, slots=True)
class FoldEvent:
    """An event as the fold looks at it. `at_ms`: when it happened, by our clock."""

    uuid: str
    kind: EventKind
    payload: Mapping[str, Any]
    at_ms: int
    conflict: str = ""


def empty_state() -> State:
    return State(
        pieces={},
        vaults={},
        fills={},
        pads={},
        closed_tiers=[],
        steps=[],
        elsewhere={},
        sizes={},
        weights={},
        stops={},
        wanted={},
        extra={},
        gone={},
        left={},
        hardware={},
        seals={},
        vault_damage={},
        people={},
        begun=[],
        pause=None,
        truck=None,
        way=None,
        published=[],
        journey={},
        exceptions=[],
        undone=[],
        renamed={},
        numbers={},
    )


def is_of_this_form(state: Mapping[str, Any]) -> bool:
    """Whether a stored state has all that a state has today; else it is folded anew."""
    return state.keys() == empty_state().keys()


def piece_key(state: State, tag: str) -> str:
    """The piece that a tag is on: the tag that it had at first."""
    return state["renamed"].get(tag, tag)


def piece_of(state: State, tag: str) -> Piece | None:
    return state["pieces"].get(piece_key(state, tag))


def is_paused(state: State) -> bool:
    pause = state.get("pause")
    return pause is not None and bool(pause["value"])


def later(known: Said | None, value: Any, at_ms: int) -> Said:
    """The later of two words on the same thing; of two at once, the one that came last."""
    if known is not None and known["at_ms"] > at_ms:
        return known
    return Said(value=value, at_ms=at_ms)


def pads_in_truck(state: State) -> int:
    """Moving pads on pieces that are out of storage, and rolled pads in gaps."""
    on_pieces = sum(
        (piece["pads_on_unpacking"] or 0) + (piece["pads_on_wrapping"] or 0) + piece["pads_changed"]
        for piece in state["pieces"].values()
    )
    return on_pieces + sum(state["fills"].values())
