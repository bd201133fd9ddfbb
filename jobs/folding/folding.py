"""A job's state as the fold of its events, in the order in which they were recorded.

Handlers are monotone: a late event adds what it knows and never moves a piece or a vault
back. Only a piece put back, a piece taken out, a vault stored, another truck and an undo go
back. An undone event counts as if it had never been, also when the undo arrives first; an undo
itself cannot be undone, what it took back is reported anew. A new tag counts from the first
event on, so it does not matter which of its two tags an event names.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import deepcopy
from dataclasses import replace
from typing import Final

from jobs.folding import goods, people, pieces, truck, vaults
from jobs.folding.kinds import WHOLE_FOLD, EventKind
from jobs.folding.state import FoldEvent, State, empty_state, piece_key

TAG_IN_USE: Final = "tag_in_use"
"""What a new tag contradicts that another piece has: such a change of tags is passed over."""


def fold(events: Sequence[FoldEvent]) -> State:
    """The state after all events of a job, oldest number first."""
    state = empty_state()
    state["undone"] = sorted(_undone_by(events))
    for event in events:
        if event.kind is EventKind.PIECE_RETAGGED and event.uuid not in state["undone"]:
            _rename(state, event)
    return advance(state, [event for event in events if event.kind not in WHOLE_FOLD])


def advance(state: State, events: Iterable[FoldEvent]) -> State:
    """The state after further events. An undo may concern what is folded in: then fold anew."""
    state = deepcopy(state)
    for event in events:
        apply(state, event)
    return state


def apply(state: State, event: FoldEvent) -> None:
    """Add one event to a state in place. Raises ValueError for those that ask for a fresh fold."""
    if event.kind in WHOLE_FOLD:
        raise ValueError(f"{event.kind} cannot be added to a state: fold all events anew")
    if event.uuid not in state["undone"]:
        _HANDLERS[event.kind](state, resolved(state, event))


def resolved(state: State, event: FoldEvent) -> FoldEvent:
    """The event with each piece named as it was at first."""
    named = {name: event.payload[name] for name in ("tag", "gone") if name in event.payload}
    if not any(tag in state["renamed"] for tag in named.values()):
        return event
    first = {name: piece_key(state, tag) for name, tag in named.items()}
    return replace(event, payload={**event.payload, **first})


def _rename(state: State, event: FoldEvent) -> None:
    key, number = piece_key(state, event.payload["tag"]), event.payload["number"]
    if event.conflict != TAG_IN_USE and number != key:
        state["renamed"].setdefault(number, key)
        state["numbers"][key] = number


def _undone_by(events: Iterable[FoldEvent]) -> set[str]:
    return {event.payload["event"] for event in events if event.kind is EventKind.UNDONE}


_HANDLERS: Final[Mapping[EventKind, Callable[[State, FoldEvent], None]]] = {
    EventKind.VAULT_MOVED: vaults.moved,
    EventKind.VAULT_PULLED: vaults.pulled,
    EventKind.VAULT_STORED: vaults.stored,
    EventKind.VAULT_STOWED: vaults.stowed,
    EventKind.VAULT_NOT_COME: vaults.not_come,
    EventKind.VAULT_NOT_FOUND: vaults.not_found,
    EventKind.VAULT_BLOCKED: vaults.blocked,
    EventKind.VAULT_DAMAGED: vaults.damaged,
    EventKind.VAULT_CLEARED: vaults.cleared,
    EventKind.SEAL_BROKEN: vaults.seal_broken,
    EventKind.PIECE_UNPACKED: pieces.unpacked,
    EventKind.PIECE_FETCHED: pieces.fetched,
    EventKind.PIECE_WRAPPED: pieces.wrapped,
    EventKind.PADS_CHANGED: pieces.pads_changed,
    EventKind.PIECE_CARRIED: pieces.carried,
    EventKind.PIECE_LOADED: pieces.loaded,
    EventKind.PIECE_LOADED_ELSEWHERE: pieces.loaded_elsewhere,
    EventKind.PIECE_RETURNED: pieces.returned,
    EventKind.PIECE_TAKEN_OUT: pieces.taken_out,
    EventKind.PIECE_WANTED: truck.piece_wanted,
    EventKind.PIECE_MISSING: pieces.missing,
    EventKind.PIECE_DOES_NOT_FIT: pieces.does_not_fit,
    EventKind.PIECE_NOT_ON_LIST: goods.appeared,
    EventKind.SIZE_CORRECTED: goods.size_corrected,
    EventKind.WEIGHT_CORRECTED: goods.weight_corrected,
    EventKind.STOP_CHANGED: goods.stop_changed,
    EventKind.EXCEPTION_NOTED: goods.exception_noted,
    EventKind.PIECE_TAKEN_APART: goods.taken_apart,
    EventKind.HARDWARE_BOXED: goods.hardware_boxed,
    EventKind.CARTON_PACKED: goods.appeared,
    EventKind.CARTONS_JOINED: goods.joined,
    EventKind.PIECE_TAKEN_BY_CUSTOMER: goods.taken_by_customer,
    EventKind.PIECE_LEFT: goods.left,
    EventKind.FILL_PLACED: truck.fill_placed,
    EventKind.TIER_CLOSED: truck.tier_closed,
    EventKind.HELPER_ON: people.presence,
    EventKind.HELPER_OFF: people.presence,
    EventKind.HELPER_BREAK: people.presence,
    EventKind.TASK_BEGUN: people.begun,
    EventKind.JOB_PAUSED: people.paused,
    EventKind.JOB_RESUMED: people.resumed,
    EventKind.TRUCK_CHANGED: truck.truck_changed,
    EventKind.PLAN_PUBLISHED: truck.plan_published,
    EventKind.DOORS_CLOSED: truck.doors_closed,
    EventKind.DEPARTED: truck.departed,
    EventKind.WAY_NOTED: truck.way_noted,
    EventKind.HANDED_OVER: truck.handed_over,
    EventKind.ARRIVED: truck.arrived,
}
