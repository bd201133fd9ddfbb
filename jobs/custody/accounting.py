"""Every tag accounted for at the end of a job: loaded, stays, missing, refused, left with a reason.

Source: 49 CFR 375.503, the itemised inventory that is signed; DoD domestic tariff 400NG, items
17.12-17.14, partial withdrawal by inventory numbers.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.folding.state import LOADED, State, piece_key


class End(StrEnum):
    LOADED = "loaded"
    STAYS = "stays"
    LEFT = "left"
    MISSING = "missing"
    REFUSED = "refused"
    CUSTOMER = "customer"
    REPLACED = "replaced"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class TagAccount:
    """What became of a tag. `reason`: why it was left (somebody's, else the plan's), or what it
    went into."""

    tag: str
    end: End
    reason: str = ""


def tags_accounted(
    *, leaves: Mapping[str, bool], left_off: Mapping[str, str], state: State
) -> tuple[TagAccount, ...]:
    """One line for each tag of the list, and of what turned up on the day.

    `leaves` tells for each tag of the list whether it is released, `left_off` the plan's reasons.
    """
    tags: Iterable[str] = {**leaves, **dict.fromkeys(state["extra"], True)}
    return tuple(_account(tag, leaves.get(tag, True), left_off, state) for tag in sorted(tags))


def _account(tag: str, is_released: bool, left_off: Mapping[str, str], state: State) -> TagAccount:
    key = piece_key(state, tag)
    piece, gone = state["pieces"].get(key), state["gone"].get(key)
    if piece is not None and piece["stage"] == LOADED:
        return TagAccount(tag, End.LOADED)
    if gone is not None:
        end = End.CUSTOMER if gone["how"] == "customer" else End.REPLACED
        return TagAccount(tag, end, gone["into"])
    if piece is not None and piece["missing"]:
        return TagAccount(tag, End.MISSING)
    if not is_released:
        return TagAccount(tag, End.STAYS)
    if key in state["left"]:
        return TagAccount(tag, End.LEFT, state["left"][key])
    if tag in left_off:
        return TagAccount(tag, End.LEFT, left_off[tag])
    if piece is not None and piece["does_not_fit"]:
        return TagAccount(tag, End.REFUSED)
    return TagAccount(tag, End.OPEN)


def open_tags(accounts: Iterable[TagAccount]) -> tuple[str, ...]:
    """The tags of which nobody has said what became of them."""
    return tuple(account.tag for account in accounts if account.end is End.OPEN)
