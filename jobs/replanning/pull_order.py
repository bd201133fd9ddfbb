"""An order of the pulls that somebody chose, beside what has been pulled by now."""

from collections.abc import Sequence
from dataclasses import dataclass

from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class Overtaken:
    """`pulled` count as out of the lanes, and the order has `first` before them."""

    first: str
    pulled: tuple[str, ...]


def pulled_by_now(request: LoadRequest) -> tuple[str, ...]:
    """The vaults that the request's progress pulls, in that order, each once."""
    done = request.progress.steps if request.progress else ()
    return tuple(dict.fromkeys(s.vault for s in done if s.do == "pull" and s.vault is not None))


def order_overtaken(request: LoadRequest, codes: Sequence[str]) -> Overtaken | None:
    """Why an order cannot hold any more; None while what was pulled comes first in it.

    In which order among themselves those were pulled does not matter: all of them are out.
    """
    pulled = pulled_by_now(request)
    first = next((code for code in codes if code not in pulled), None)
    if first is None:
        return None
    late = tuple(code for code in codes[codes.index(first) :] if code in pulled)
    return Overtaken(first, late) if late else None


def whole_order(request: LoadRequest, codes: Sequence[str]) -> tuple[str, ...]:
    """The order with every vault that something leaves from: what was pulled before it, what it
    does not name behind it."""
    pulled = pulled_by_now(request)
    leaving = [
        vault.code
        for vault in request.vaults
        if any(request.has_item(tag) and request.item(tag).leaves for tag in vault.items)
    ]
    named = set(codes)
    before = [code for code in pulled if code not in named]
    return (*before, *codes, *(code for code in leaving if code not in {*named, *before}))


def order_now(request: LoadRequest, wished: Sequence[str] | None) -> tuple[str, ...] | None:
    """The order that is wished for a load, for the rest of it; None where it is free."""
    if wished is None:
        return None
    own = {vault.code for vault in request.vaults}
    return whole_order(request, [code for code in wished if code in own])
