"""Which event says that a task is done."""

from jobs.folding.kinds import EventKind
from jobs.folding.outcome import TaskFacts

FINISHED_BY = {
    "move": EventKind.VAULT_MOVED,
    "pull": EventKind.VAULT_PULLED,
    "store": EventKind.VAULT_STORED,
    "stow": EventKind.VAULT_STOWED,
    "clear": EventKind.VAULT_CLEARED,
    "unpack": EventKind.PIECE_UNPACKED,
    "fetch": EventKind.PIECE_FETCHED,
    "wrap": EventKind.PIECE_WRAPPED,
    "carry": EventKind.PIECE_CARRIED,
    "load": EventKind.PIECE_LOADED,
    "return": EventKind.PIECE_RETURNED,
    "take_out": EventKind.PIECE_TAKEN_OUT,
    "fill": EventKind.FILL_PLACED,
    "close": EventKind.TIER_CLOSED,
}


def subject_of(task: TaskFacts) -> dict[str, str | int]:
    """What a task is about, in the words of an event's payload."""
    if task.kind == "close":
        return {"tier": task.tier or 0}
    if task.kind == "fill":
        return {"fill": task.fill or 0}
    if task.tag:
        return {"tag": task.tag}
    return {"vault": task.vault or ""}
