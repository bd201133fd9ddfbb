"""Pieces that a request has lost, and that are to be loaded after all."""

from dataclasses import replace

from jobs.folding.state import State, piece_key
from loading.planner.request import LoadRequest, Vault


def with_returned(request: LoadRequest, state: State, listed: LoadRequest) -> LoadRequest:
    """The request with all that `listed`, the one the job began with, has beside it.

    A request for the rest of a load no longer has what was missing or gone when it was made; what
    is so no more (it was undone) has to come back. What still is so `goods_now` takes out again.
    """
    known = {piece_key(state, item.tag) for item in request.items}
    back = tuple(item for item in listed.items if piece_key(state, item.tag) not in known)
    if not back:
        return request
    at_first = {vault.code: vault for vault in listed.vaults}
    return replace(
        request,
        items=(*request.items, *back),
        vaults=tuple(
            _filled(vault, state, at_first[vault.code], {item.tag for item in back})
            if vault.code in at_first
            else vault
            for vault in request.vaults
        ),
    )


def _filled(vault: Vault, state: State, at_first: Vault, back: set[str]) -> Vault:
    """The vault with its pieces in the order that the list had at first, door side first."""
    now = {piece_key(state, tag): tag for tag in vault.items}
    items = [
        now.pop(piece_key(state, tag), tag)
        for tag in at_first.items
        if tag in back or piece_key(state, tag) in now
    ]
    return replace(vault, items=(*items, *now.values()))
