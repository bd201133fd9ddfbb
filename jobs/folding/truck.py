"""What events say of the truck: gaps and tiers, another truck, the plan, and the way it goes."""

from typing import Any

from jobs.folding.pads import MOVING_IN_GAPS, MOVING_STACK, pads_move
from jobs.folding.pieces import piece_in
from jobs.folding.state import LOADED, ON_FLOOR, FoldEvent, State, later

_IN_THE_TRUCK = ("load", "fill", "close", "take_out")
_TRUCK_TASKS = ("carry", *_IN_THE_TRUCK)


def fill_placed(state: State, event: FoldEvent) -> None:
    number = str(event.payload["fill"])
    if number not in state["fills"] and not _was_another_truck(state, event):
        state["fills"][number] = event.payload["pads"]
        pads_move(state, MOVING_STACK, MOVING_IN_GAPS, event.payload["pads"])
        state["steps"].append(["fill", number])


def tier_closed(state: State, event: FoldEvent) -> None:
    tier = event.payload["tier"]
    if tier not in state["closed_tiers"] and not _was_another_truck(state, event):
        state["closed_tiers"] = sorted({*state["closed_tiers"], tier})
        state["steps"].append(["close", str(tier)])


def piece_wanted(state: State, event: FoldEvent) -> None:
    """The loader wants a piece for a gap in a tier: it comes out of turn until it is loaded."""
    tag = event.payload["tag"]
    if piece_in(state, tag)["stage"] < LOADED and not _was_another_truck(state, event):
        wish = later(state["wanted"].get(tag), event.payload["tier"], event.at_ms)
        state["wanted"][tag] = wish


def truck_changed(state: State, event: FoldEvent) -> None:
    """What was in the former truck stands on the dock floor, and counts begin anew."""
    known = state["truck"]
    if known is not None and (
        known["at_ms"] > event.at_ms or known["value"] == event.payload["truck"]
    ):
        return
    state["truck"] = later(known, event.payload["truck"], event.at_ms)
    for piece in state["pieces"].values():
        piece["stage"] = min(piece["stage"], ON_FLOOR)
        piece["carried"] = piece["loaded"] = piece["taken_out"] = 0
    pads_move(state, MOVING_IN_GAPS, MOVING_STACK, sum(state["fills"].values()))
    state["fills"], state["closed_tiers"], state["elsewhere"] = {}, [], {}
    state["wanted"] = {}
    state["steps"] = [step for step in state["steps"] if step[0] not in _IN_THE_TRUCK]
    state["begun"] = [key for key in state["begun"] if _kind_of(key) not in _TRUCK_TASKS]


def plan_published(state: State, event: FoldEvent) -> None:
    """A new plan answers for the pieces that did not fit in the one before."""
    state["published"].append(event.payload["version"])
    for tag in event.payload["tags"]:
        piece_in(state, tag)["does_not_fit"] = False


def doors_closed(state: State, event: FoldEvent) -> None:
    _noted(state, "doors", event, {"seal": event.payload["seal"]})


def departed(state: State, event: FoldEvent) -> None:
    _noted(state, "departed", event, {})


def way_noted(state: State, event: FoldEvent) -> None:
    """Flights of stairs and metres between the truck and the door: they cost time and money."""
    said = {"flights": event.payload["flights"], "carry_m": event.payload["carry_m"]}
    state["way"] = later(state["way"], said, event.at_ms)


def handed_over(state: State, event: FoldEvent) -> None:
    _noted(state, "handed_over", event, {"to": event.payload["to"]})


def arrived(state: State, event: FoldEvent) -> None:
    _noted(state, f"arrived {event.payload['stop']}", event, {})


def _noted(state: State, what: str, event: FoldEvent, said: dict[str, Any]) -> None:
    state["journey"][what] = later(state["journey"].get(what), said, event.at_ms)


def _was_another_truck(state: State, event: FoldEvent) -> bool:
    truck = state["truck"]
    return truck is not None and event.at_ms < truck["at_ms"]


def _kind_of(key: str) -> str:
    """`load` of `load:012` and of `load#2:012`."""
    return key.partition(":")[0].partition("#")[0]
