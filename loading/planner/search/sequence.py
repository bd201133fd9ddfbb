"""From the loading order to the steps that people do: each vault as late as the order allows.

Unpacking as late as possible keeps the floor of the dock as free as the order permits, and is never
fuller than the search's own widest reach at the same load.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from loading.planner.plan import Step
from loading.planner.pulls import Retrieval, lane_to_store, yard_of
from loading.planner.request import LoadRequest
from loading.planner.search.start import Begun

Pulls = dict[str, list[Step]]
NOT_EMPTIED = 1 << 30  # comes after every vault that the search did empty


def pulls_of(retrieval: Retrieval) -> tuple[list[str], Pulls]:
    """The pull order, and for each vault the moves that come before its pull, and the pull."""
    order: list[str] = []
    steps: Pulls = {}
    waiting: list[Step] = []
    for do, vault, *lane in retrieval.steps:
        waiting.append(Step(do, vault=vault, lane=lane[0] if lane else None))
        if do == "pull":
            order.append(vault)
            steps[vault], waiting = waiting, []
    return order, steps


@dataclass
class Dock:
    """The dock as the steps go on; `left` is what is still in each vault, door side first."""

    request: LoadRequest
    order: Sequence[str]
    pulls: Pulls
    leaving: Mapping[str, int]  # which vault the search emptied first
    steps: list[Step] = field(default_factory=list)
    left: dict[str, list[str]] = field(default_factory=dict)
    open: list[str] = field(default_factory=list)
    floor: set[str] = field(default_factory=set)
    next: int = 0

    def __post_init__(self) -> None:
        self.stays = {item.tag for item in self.request.items if not item.leaves}

    def bring(self, tag: str) -> None:
        """Have a piece on the floor of the dock."""
        if tag in self.floor:
            return
        vault = self.request.vault_of(tag)
        if vault is None:
            self.steps.append(Step("fetch", tag=tag))
            self.floor.add(tag)
            return
        while vault not in self.open:
            self._open_next()
        while tag not in self.floor:
            self._unpack(vault)
        self._leave(vault)

    def load(self, tag: str) -> None:
        self.bring(tag)
        self.steps.append(Step("load", tag=tag))
        self.floor.discard(tag)

    def finish(self) -> None:
        """Nothing more is loaded: vaults that keep pieces and stand open go back."""
        for vault in list(self.open):
            self._leave(vault)

    def _open_next(self) -> None:
        if len(self.open) >= self.request.dock.vault_spots:
            vault = min(self.open, key=lambda code: self.leaving.get(code, NOT_EMPTIED))
            while self.left[vault] and not set(self.left[vault]) <= self.stays:
                self._unpack(vault)
            self._leave(vault)
        code = self.order[self.next]
        self.next += 1
        self.steps += self.pulls[code]
        self.open.append(code)

    def _unpack(self, vault: str) -> None:
        tag = self.left[vault].pop(0)
        self.steps.append(Step("unpack", tag=tag))
        self.floor.add(tag)

    def _leave(self, vault: str) -> None:
        """Clear an empty vault, or store it once only pieces that stay are left of it."""
        if not set(self.left[vault]) <= self.stays or vault not in self.open:
            return
        back = [t for t in self.floor & self.stays if self.request.vault_of(t) == vault]
        for tag in sorted(back):
            self.steps.append(Step("return", tag=tag))
            self.left[vault].insert(0, tag)
            self.floor.discard(tag)
        self.open.remove(vault)
        if self.left[vault]:
            self.steps.append(Step("store", vault=vault, lane=self._lane_with_room(vault)))
        else:
            self.steps.append(Step("clear", vault=vault))

    def _lane_with_room(self, vault: str) -> str:
        """Its own lane if it bars nothing there, else the emptiest in which it does not."""
        yard = yard_of(self.request).after(self.steps)
        to_come = [step for code in self.order[self.next :] for step in self.pulls[code]]
        home = next(v.lane for v in self.request.vaults if v.code == vault)
        lane = lane_to_store(yard, vault, to_come, home=home)
        return lane or max(yard.lanes, key=lambda found: (found.free, found.name)).name


def steps_of(
    request: LoadRequest,
    order: Sequence[str],
    pulls: Pulls,
    leaving: Mapping[str, int],
    begun: Begun,
    tiers: Iterable[tuple[int, list[Step]]],
) -> tuple[Step, ...]:
    """All steps; `tiers` gives each new tier's number with its load and fill steps in order."""
    dock = Dock(request, order, pulls, leaving)
    dock.left = {code: list(tags) for code, tags in begun.left.items()}
    dock.open, dock.floor = list(begun.open), set(begun.floor)
    dock.steps = list(request.progress.steps) if request.progress else []
    tiers = list(tiers)
    if begun.unclosed is not None and begun.unclosed not in {number for number, _ in tiers}:
        dock.steps.append(Step("close", tier=begun.unclosed))
    for number, actions in tiers:
        for action in actions:
            if action.tag is not None:
                dock.load(action.tag)
            else:
                dock.steps.append(action)
        dock.steps.append(Step("close", tier=number))
    dock.finish()
    return tuple(dock.steps)
