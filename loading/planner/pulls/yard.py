"""The warehouse's lanes as stacks that are reached from the aisle.

A lane `depth` positions deep and `levels` high is one stack of `depth * levels` slots. Slot 1 is on
the floor at the far end, the next ones lie above it, then the stack one position nearer the aisle
begins. A vault is put down in the slot after the last one taken, so slots skipped at the start stay
lost until everything in front of them has left.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from loading.planner.plan import Step
from loading.planner.pulls.errors import YardError
from loading.planner.request import LoadRequest, OtherVault, Vault


@dataclass(frozen=True, slots=True)
class StandingVault:
    """A vault and the slot that it takes, counted from the far end (1 is the first)."""

    code: str
    slot: int


@dataclass(frozen=True, slots=True)
class YardLane:
    """One lane; `vaults` in reach order: the last one is the one that can be reached."""

    name: str
    depth: int
    levels: int
    vaults: tuple[StandingVault, ...]

    @property
    def slots(self) -> int:
        return self.depth * self.levels

    @property
    def free(self) -> int:
        """How many more vaults can be put down."""
        return self.slots - (self.vaults[-1].slot if self.vaults else 0)

    def cell_of(self, slot: int) -> tuple[int, int]:
        """(depth, level) of a slot; depth 1 is nearest the aisle, level 1 on the floor."""
        behind, level = divmod(slot - 1, self.levels)
        return self.depth - behind, level + 1

    def before(self, code: str) -> tuple[str, ...]:
        """The vaults that stand in the way of one in this lane, nearest the aisle first."""
        place = next(i for i, vault in enumerate(self.vaults) if vault.code == code)
        return tuple(vault.code for vault in reversed(self.vaults[place + 1 :]))

    def without(self, code: str) -> YardLane:
        return replace(self, vaults=tuple(v for v in self.vaults if v.code != code))

    def with_vault(self, code: str) -> YardLane:
        if not self.free:
            raise YardError(f"lane {self.name} is full, {code} does not fit")
        slot = self.slots - self.free + 1
        return replace(self, vaults=(*self.vaults, StandingVault(code, slot)))


@dataclass(frozen=True, slots=True)
class Yard:
    """Every lane, and which vaults belong to the shipment (`own`, in the request's order)."""

    lanes: tuple[YardLane, ...]
    own: tuple[str, ...]

    def lane(self, name: str) -> YardLane | None:
        return next((lane for lane in self.lanes if lane.name == name), None)

    def lane_of(self, code: str) -> YardLane | None:
        """The lane in which a vault stands, or None when it stands in none."""
        return next((ln for ln in self.lanes if any(v.code == code for v in ln.vaults)), None)

    def standing(self) -> tuple[str, ...]:
        """The shipment's vaults that still stand in a lane."""
        present = {v.code for lane in self.lanes for v in lane.vaults}
        return tuple(code for code in self.own if code in present)

    def after(self, steps: Iterable[Step]) -> Yard:
        """The yard after steps that were done; what is no warehouse step is passed over.

        What was done is a fact: a vault that could not be reached is taken from where it stood, and
        one that was put where there is no room stands nowhere.
        """
        yard = self
        for step in steps:
            if step.do in ("move", "pull") and step.vault is not None:
                yard = yard._taken(step.vault)
            if step.do in ("move", "store") and step.vault is not None and step.lane is not None:
                yard = yard._put(step.vault, step.lane)
        return yard

    def _taken(self, code: str) -> Yard:
        lane = self.lane_of(code)
        return self if lane is None else self._changed(lane.without(code))

    def _put(self, code: str, name: str) -> Yard:
        lane = self.lane(name)
        if lane is None or not lane.free or self.lane_of(code) is not None:
            return self
        return self._changed(lane.with_vault(code))

    def _changed(self, lane: YardLane) -> Yard:
        return replace(
            self, lanes=tuple(lane if other.name == lane.name else other for other in self.lanes)
        )


def yard_of(request: LoadRequest) -> Yard:
    """The yard of a request as it stood before any step of its progress."""
    standing: dict[str, list[StandingVault]] = {lane.name: [] for lane in request.lanes}
    shape = {lane.name: (lane.depth, lane.levels) for lane in request.lanes}
    vaults: tuple[Vault | OtherVault, ...] = (*request.vaults, *request.other_vaults)
    for vault in vaults:
        if vault.lane not in standing:
            raise YardError(f"vault {vault.code} stands in lane {vault.lane}, which is not listed")
        depth, levels = shape[vault.lane]
        slot = (depth - vault.depth) * levels + vault.level
        if not 1 <= vault.level <= levels or not 1 <= vault.depth <= depth:
            raise YardError(f"vault {vault.code} stands outside lane {vault.lane}")
        standing[vault.lane].append(StandingVault(vault.code, slot))
    return Yard(
        lanes=tuple(
            YardLane(lane.name, lane.depth, lane.levels, _in_reach_order(lane.name, standing))
            for lane in request.lanes
        ),
        own=tuple(vault.code for vault in request.vaults),
    )


def _in_reach_order(
    name: str, standing: Mapping[str, list[StandingVault]]
) -> tuple[StandingVault, ...]:
    vaults = sorted(standing[name], key=lambda v: v.slot)
    for first, second in pairwise(vaults):
        if first.slot == second.slot:
            raise YardError(f"{first.code} and {second.code} share a slot of lane {name}")
    return tuple(vaults)
