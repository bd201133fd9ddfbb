"""The pieces and vaults of a request as they are known now."""

from collections.abc import Collection
from dataclasses import replace
from typing import Final

from jobs.folding.outcome import vault_cannot_be_had
from jobs.folding.state import LOADED, STORED, Extra, State, piece_key
from loading.planner.request import Item, LoadRequest, Vault

ALLOWANCE_MM: Final = 30
"""What a piece that did not fit, and that nobody measured, counts as larger on each side, for each
time (common practice, no source: two fingers)."""


def goods_now(request: LoadRequest, state: State) -> LoadRequest:
    """The request with what has come to light: sizes, weights, stops, tags, pieces more and less.

    Pieces that are missing, gone or in a vault that was not found are no longer in it; those in a
    vault that cannot be reached stay in storage. A piece that stands in the truck keeps the size
    with which it was placed.
    """
    absent = _absent(request, state)
    vaults = tuple(_vault(vault, state, absent) for vault in request.vaults)
    unreached = {
        tag for vault in request.vaults if _is_blocked(state, vault.code) for tag in vault.items
    }
    items = [
        _item(item, state, leaves=item.leaves and item.tag not in unreached)
        for item in request.items
        if item.tag not in absent
    ]
    known = {piece_key(state, item.tag) for item in request.items}
    items += [
        _new_item(request, state, tag, extra)
        for tag, extra in state["extra"].items()
        if tag not in known and tag not in state["gone"]
    ]
    return replace(request, vaults=vaults, items=tuple(items), progress=None)


def tag_now(state: State, tag: str) -> str:
    """The tag that is on the piece now."""
    key = piece_key(state, tag)
    return state["numbers"].get(key, key)


def _absent(request: LoadRequest, state: State) -> frozenset[str]:
    lost = {
        tag
        for vault in request.vaults
        if vault_cannot_be_had(state, vault.code) and state["vaults"][vault.code]["not_found"]
        for tag in vault.items
        if _stage(state, tag) == STORED
    }
    return frozenset(
        item.tag
        for item in request.items
        if item.tag in lost or _is_missing(state, item.tag) or _is_gone(state, item.tag)
    )


def _stage(state: State, tag: str) -> int:
    piece = state["pieces"].get(piece_key(state, tag))
    return piece["stage"] if piece else STORED


def _is_missing(state: State, tag: str) -> bool:
    piece = state["pieces"].get(piece_key(state, tag))
    return piece is not None and piece["missing"] and piece["stage"] == STORED


def _is_gone(state: State, tag: str) -> bool:
    return piece_key(state, tag) in state["gone"]


def _is_blocked(state: State, code: str) -> bool:
    return vault_cannot_be_had(state, code) and state["vaults"][code]["blocked"]


def _vault(vault: Vault, state: State, absent: Collection[str]) -> Vault:
    return replace(
        vault, items=tuple(tag_now(state, tag) for tag in vault.items if tag not in absent)
    )


def _item(item: Item, state: State, *, leaves: bool) -> Item:
    key = piece_key(state, item.tag)
    piece = state["pieces"].get(key)
    leaves = leaves or (piece is not None and piece["stage"] > STORED and item.leaves)
    item = replace(item, tag=tag_now(state, item.tag), leaves=leaves)
    if key in state["weights"]:
        item = replace(item, weight_g=state["weights"][key]["value"])
    if key in state["stops"]:
        item = replace(item, stop=state["stops"][key]["value"])
    if piece is not None and piece["stage"] == LOADED:
        return item
    if key in state["sizes"]:
        length, width, height = state["sizes"][key]["value"]
        size_mm = (length, width, height)
        return replace(item, size_mm=size_mm, size_from="measured", openings=())
    if piece is not None and piece["refused"]:
        length, width, height = (mm + ALLOWANCE_MM * piece["refused"] for mm in item.size_mm)
        return replace(item, size_mm=(length, width, height))
    return item


def _new_item(request: LoadRequest, state: State, tag: str, extra: Extra) -> Item:
    """A piece that no list had: it carries nothing and stands as it was measured."""
    parent = extra["of"] if request.has_item(extra["of"]) else None
    length, width, height = extra["size_mm"]
    return _item(
        Item(
            tag=tag,
            name=extra["name"],
            size_mm=(length, width, height),
            weight_g=extra["weight_g"],
            postures=("standing",),
            wrap=request.item(parent).wrap if parent else False,
            bears_g=0,
            level=None,
            fragile=False,
            carton=extra["origin"] == "carton",
            soft=False,
            openings=(),
            stop=request.item(parent).stop if parent else 1,
            set_name=parent,
            last_on=False,
        ),
        state,
        leaves=True,
    )
