"""What is done when a truck has gone: facts of the warehouse, that no job's state depends on."""

from enum import StrEnum
from typing import Final


class AfterKind(StrEnum):
    """`vault_swept` says in `mend` what is to be mended, or ""; `vault_stowed` in which lane,
    `piece_put` at which place; `equipment_came_back` how many went home, to the wash, are lost;
    `taken_back` which of these was said by mistake."""

    VAULT_SWEPT = "vault_swept"
    VAULT_MENDED = "vault_mended"
    VAULT_STOWED = "vault_stowed"
    PIECE_PUT = "piece_put"
    EQUIPMENT_CAME_BACK = "equipment_came_back"
    TAKEN_BACK = "taken_back"


WAS: Final = "was"
"""The key of a payload under which we keep how storage was before: what taking back restores."""
