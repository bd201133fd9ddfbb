"""Who is on the floor, what is begun, and whether all work rests."""

from jobs.folding.kinds import EventKind
from jobs.folding.state import FoldEvent, Presence, State, later


def presence(state: State, event: FoldEvent) -> None:
    member = str(event.payload["member"])
    known = state["people"].get(member)
    if known is None or event.at_ms >= known["at_ms"]:
        state["people"][member] = Presence(
            on=event.kind is EventKind.HELPER_ON,
            on_break=event.kind is EventKind.HELPER_BREAK,
            at_ms=event.at_ms,
        )


def begun(state: State, event: FoldEvent) -> None:
    state["begun"] = sorted({*state["begun"], event.payload["task"]})


def paused(state: State, event: FoldEvent) -> None:
    state["pause"] = later(state["pause"], event.payload["reason"], event.at_ms)


def resumed(state: State, event: FoldEvent) -> None:
    state["pause"] = later(state["pause"], "", event.at_ms)
