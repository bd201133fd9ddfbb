"""Where each piece is now: in the truck, on the dock floor, in an open vault, or still stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from loading.planner.checker.dock import PART, floor_parts
from loading.planner.plan import Step
from loading.planner.request import LoadRequest, Progress


class Place(Enum):
    """In the order in which pieces are quickly at hand."""

    FLOOR = "floor"
    OPEN_VAULT = "open_vault"
    LOOSE = "loose"
    VAULT = "vault"


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """`pieces_before` is how many must come out of its vault first; 0: it is next."""

    place: Place
    vault: str | None = None
    pieces_before: int = 0


@dataclass(frozen=True, slots=True)
class AtHand:
    """All pieces that leave and are not in the truck, and the floor (mm2) that is still free."""

    pieces: Mapping[str, Whereabouts]
    floor_free_mm2: int


def at_hand(request: LoadRequest, progress: Progress | None) -> AtHand:
    """Follow the steps that were done; what they did is taken as a fact."""
    walk = _Walk(request)
    for step in progress.steps if progress else ():
        walk.do(step)
    aboard = walk.aboard | {place.tag for place in (progress.placements if progress else ())}
    found = {
        item.tag: walk.where(item.tag)
        for item in request.items
        if item.leaves and item.tag not in aboard
    }
    parts = sum(floor_parts(request, request.item(tag)) for tag in walk.floor - aboard)
    return AtHand(found, max(0, request.dock.floor_mm2 - -(-parts // PART)))


class _Walk:
    def __init__(self, request: LoadRequest) -> None:
        self._request = request
        self._left = {vault.code: list(vault.items) for vault in request.vaults}
        self._open: set[str] = set()
        self.floor: set[str] = set()
        self.aboard: set[str] = set()

    def do(self, step: Step) -> None:
        if step.do == "pull" and step.vault is not None:
            self._open.add(step.vault)
        elif step.do in ("clear", "store") and step.vault is not None:
            self._open.discard(step.vault)
        elif step.tag is not None and self._request.has_item(step.tag):
            self._piece(step.do, step.tag)

    def _piece(self, do: str, tag: str) -> None:
        left = self._left.get(self._request.vault_of(tag) or "", [])
        if do == "return":
            self.floor.discard(tag)
            if self._request.vault_of(tag) is not None and tag not in left:
                left.insert(0, tag)
            return
        if tag in left:
            left.remove(tag)
        if do == "load":
            self.floor.discard(tag)
            self.aboard.add(tag)
        elif do in ("unpack", "fetch", "take_out"):
            self.floor.add(tag)
            self.aboard.discard(tag)

    def where(self, tag: str) -> Whereabouts:
        if tag in self.floor:
            return Whereabouts(Place.FLOOR)
        vault = self._request.vault_of(tag)
        if vault is None:
            return Whereabouts(Place.LOOSE)
        left = self._left[vault]
        before = left.index(tag) if tag in left else 0
        place = Place.OPEN_VAULT if vault in self._open else Place.VAULT
        return Whereabouts(place, vault, before)
