"""Where pads are, kept as accounts: what leaves one comes into another, so all sum to nothing.

Storage pads come off pieces onto a stack; moving pads go from a stack onto pieces and into gaps.
A stack's count goes below 0 by what was taken from it: how many lay there is the ledger's matter.
"""

from typing import Final

from jobs.folding.state import State

STORAGE_ON_PIECES: Final = "storage_on_pieces"
STORAGE_STACK: Final = "storage_stack"
MOVING_STACK: Final = "moving_stack"
MOVING_ON_PIECES: Final = "moving_on_pieces"
MOVING_IN_GAPS: Final = "moving_in_gaps"


def pads_move(state: State, source: str, target: str, count: int) -> None:
    """Move pads from one account to another; a count below 0 goes the other way."""
    pads = state["pads"]
    if count:
        pads[source] = pads.get(source, 0) - count
        pads[target] = pads.get(target, 0) + count
