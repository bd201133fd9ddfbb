"""What events say of the goods themselves: sizes, new pieces, pieces that are no more."""

from collections.abc import Mapping
from typing import Any

from jobs.folding.kinds import EventKind
from jobs.folding.pieces import piece_in, raise_to
from jobs.folding.state import ON_FLOOR, Extra, FoldEvent, Gone, State, later

_ORIGIN = {EventKind.PIECE_NOT_ON_LIST: "found", EventKind.CARTON_PACKED: "carton"}


def part_tag(tag: str, number: int) -> str:
    """The tag of a part, which carries its parent's; parts count from 1."""
    return f"{tag}/{number}"


def size_corrected(state: State, event: FoldEvent) -> None:
    tag, said = event.payload["tag"], event.payload
    size_mm = [said["length_mm"], said["width_mm"], said["height_mm"]]
    state["sizes"][tag] = later(state["sizes"].get(tag), size_mm, event.at_ms)


def weight_corrected(state: State, event: FoldEvent) -> None:
    tag = event.payload["tag"]
    known = state["weights"].get(tag)
    state["weights"][tag] = later(known, event.payload["weight_g"], event.at_ms)


def stop_changed(state: State, event: FoldEvent) -> None:
    """The piece is delivered at another stop than the plan's request has it."""
    tag = event.payload["tag"]
    state["stops"][tag] = later(state["stops"].get(tag), event.payload["stop"], event.at_ms)


def appeared(state: State, event: FoldEvent) -> None:
    """A piece that no list had stands on the dock floor."""
    _add(state, event.payload["tag"], event.payload, _ORIGIN[event.kind])


def taken_apart(state: State, event: FoldEvent) -> None:
    """The parts stand on the dock floor, and the whole is no more; the first report counts."""
    tag = event.payload["tag"]
    if tag in state["gone"]:
        return
    piece_in(state, tag)
    state["gone"][tag] = Gone(how="apart", into="")
    for number, part in enumerate(event.payload["parts"], start=1):
        _add(state, part_tag(tag, number), part, "part", of=tag)


def joined(state: State, event: FoldEvent) -> None:
    """One carton's goods are in another now. A carton cannot end up inside itself."""
    tag, gone = event.payload["tag"], event.payload["gone"]
    if gone in state["gone"] or gone in _hosts(state, tag):
        return
    piece_in(state, gone)
    state["gone"][gone] = Gone(how="joined", into=tag)


def taken_by_customer(state: State, event: FoldEvent) -> None:
    piece_in(state, event.payload["tag"])
    state["gone"].setdefault(event.payload["tag"], Gone(how="customer", into=""))


def left(state: State, event: FoldEvent) -> None:
    """Somebody decided that a piece stays behind, and why; the first reason stands."""
    piece_in(state, event.payload["tag"])
    state["left"].setdefault(event.payload["tag"], event.payload["note"])


def hardware_boxed(state: State, event: FoldEvent) -> None:
    state["hardware"].setdefault(event.payload["tag"], event.payload["box"])


def exception_noted(state: State, event: FoldEvent) -> None:
    noted = {"uuid": event.uuid, "tag": event.payload["tag"], "note": event.payload["note"]}
    state["exceptions"].append(noted)


def _hosts(state: State, tag: str) -> list[str]:
    """A carton, and those that it was put into one after the other."""
    hosts = [tag]
    while hosts[-1] in state["gone"] and state["gone"][hosts[-1]]["into"]:
        hosts.append(state["gone"][hosts[-1]]["into"])
    return hosts


def _add(state: State, tag: str, said: Mapping[str, Any], origin: str, of: str = "") -> None:
    size_mm = [said["length_mm"], said["width_mm"], said["height_mm"]]
    new = Extra(name=said["name"], size_mm=size_mm, weight_g=said["weight_g"], origin=origin, of=of)
    state["extra"].setdefault(tag, new)
    raise_to(state, tag, ON_FLOOR)
