"""What the state says of each task: done, begun, or dropped because its piece cannot be had."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from jobs.folding.state import GONE, LOADED, STORED, Piece, State, Vault

_PIECE_COUNTER = {
    "unpack": "out",
    "fetch": "out",
    "carry": "carried",
    "load": "loaded",
    "return": "returned",
    "take_out": "taken_out",
}
_VAULT_COUNTER = {"move": "moved", "pull": "pulled", "store": "stored"}


class TaskFacts(Protocol):
    """A task as far as this package looks at it."""

    @property
    def key(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def tag(self) -> str | None: ...
    @property
    def vault(self) -> str | None: ...
    @property
    def fill(self) -> int | None: ...
    @property
    def tier(self) -> int | None: ...
    @property
    def turn(self) -> int: ...


@dataclass(frozen=True, slots=True)
class TaskOutcome:
    """Keys of the tasks that are done, begun and dropped."""

    done: frozenset[str]
    begun: frozenset[str]
    dropped: frozenset[str]


def task_outcomes(state: State, tasks: Iterable[TaskFacts]) -> TaskOutcome:
    """Read off the state which tasks are done, begun and dropped."""
    done, dropped = set(), set()
    for task in tasks:
        if _is_done(state, task):
            done.add(task.key)
        elif _is_dropped(state, task):
            dropped.add(task.key)
    return TaskOutcome(frozenset(done), frozenset(state["begun"]), frozenset(dropped))


def _is_done(state: State, task: TaskFacts) -> bool:
    if task.kind == "fill":
        return str(task.fill) in state["fills"]
    if task.kind == "close":
        return task.tier in state["closed_tiers"]
    if task.tag:
        piece = state["pieces"].get(task.tag)
        return piece is not None and _piece_is_through(piece, task)
    vault = state["vaults"].get(task.vault or "")
    return vault is not None and _vault_is_through(vault, task)


def _piece_is_through(piece: Piece, task: TaskFacts) -> bool:
    if task.kind == "wrap":
        return piece["wrapped"] or piece["carried"] > 0
    times: int = piece[_PIECE_COUNTER[task.kind]]  # type: ignore[literal-required]
    return times >= task.turn


def _vault_is_through(vault: Vault, task: TaskFacts) -> bool:
    if task.kind == "clear":
        return vault["stage"] == GONE
    times: int = vault[_VAULT_COUNTER[task.kind]]  # type: ignore[literal-required]
    return times >= task.turn


def _is_dropped(state: State, task: TaskFacts) -> bool:
    piece = state["pieces"].get(task.tag or "")
    if piece is None:
        return False
    if piece["missing"] and piece["stage"] == STORED:
        return True
    return piece["does_not_fit"] and piece["stage"] < LOADED and task.kind in ("carry", "load")
