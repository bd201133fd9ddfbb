"""Why a piece is left off, in words that name the rule and what comes nearest."""

from __future__ import annotations

from collections.abc import Mapping

from loading.planner.request import Item, LoadRequest
from loading.planner.search.arrays import IN_TRUCK, KILOS, LENGTH, STORED, State
from loading.planner.search.goods import Turn, floor_area_mm2


def reasons_of(
    request: LoadRequest,
    turns: list[list[Turn]],
    state: State,
    barred: Mapping[str, str],
) -> dict[str, str]:
    """A reason for each piece that leaves and is not in the truck; `barred`: vaults not had."""
    return {
        item.tag: _reason(request, turns[k], state, k, item, barred)
        for k, item in enumerate(request.items)
        if item.leaves and state.where[k] != IN_TRUCK
    }


def _reason(
    request: LoadRequest,
    turns: list[Turn],
    state: State,
    k: int,
    item: Item,
    barred: Mapping[str, str],
) -> str:
    vault = request.vault_of(item.tag)
    length, width, height = request.truck.interior_mm
    if vault is not None and vault in barred:
        return f"R10 dock: vault {vault} cannot be pulled, {barred[vault]}"
    if not turns:
        door = " by ".join(str(v) for v in request.truck.door_mm)
        size = " by ".join(str(v) for v in request.as_loaded_mm(item))
        return f"R2 posture: {size} mm as loaded passes the door of {door} mm in no posture allowed"
    if not any(b <= width and up <= height and a <= length for _, (a, b, up), _ in turns):
        return "R3 room: larger than the truck in every posture that passes the door"
    area = floor_area_mm2(request, item)
    if area > request.dock.floor_mm2:
        return (
            f"R10 dock: takes {area / 1e6:.1f} m2 on a floor of {request.dock.floor_mm2 / 1e6:.1f}"
        )
    if int(state.tally[KILOS]) + item.weight_g > request.truck.payload_g:
        left = (request.truck.payload_g - int(state.tally[KILOS])) / 1000
        return (
            f"R12 weight: weighs {item.weight_g / 1000:.1f} kg, {left:.1f} kg of payload are left"
        )
    if state.where[k] == STORED and vault is not None:
        return f"R10 dock: not reached in vault {vault}, the dock floor is full of what is left off"
    free = length - int(state.tally[LENGTH])
    need = min(a for _, (a, b, up), _ in turns if b <= width and up <= height)
    if free < need:
        return (
            f"R3 room: needs {need} mm of the truck's length, {free} mm are left, and no place"
            " higher up carries it"
        )
    return (
        f"R14 tight: {free} mm of length are left, but nothing there would hold it from both sides"
    )
