"""What the state says of each task: done, begun, or dropped because its piece cannot be had."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from jobs.folding.state import (
    GONE,
    IN_LANE,
    LOADED,
    STORED,
    Piece,
    State,
    Vault,
    piece_key,
    piece_of,
)

_PIECE_COUNTER = {
    "unpack": "out",
    "fetch": "out",
    "carry": "carried",
    "load": "loaded",
    "return": "returned",
    "take_out": "taken_out",
}
_BRINGS = ("fetch", "unpack", "wrap", "carry")
_VAULT_COUNTER = {"move": "moved", "pull": "pulled", "store": "stored", "stow": "stored"}


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
    """Keys of the tasks that are done, begun and dropped, and of those that bring a piece which the
    loader wants, with the tier of the gap."""

    done: frozenset[str]
    begun: frozenset[str]
    dropped: frozenset[str]
    wanted: Mapping[str, int]


def task_outcomes(state: State, tasks: Iterable[TaskFacts]) -> TaskOutcome:
    """Read off the state which tasks are done, begun, dropped and wanted."""
    tasks = tuple(tasks)
    out_of_reach = _out_of_reach(state, tasks)
    done, dropped, wanted = set(), set(), {}
    for task in tasks:
        if _is_done(state, task):
            done.add(task.key)
        elif _is_dropped(state, task, out_of_reach):
            dropped.add(task.key)
        elif task.kind in _BRINGS and (wish := state["wanted"].get(_piece(state, task))):
            wanted[task.key] = int(wish["value"])
    return TaskOutcome(frozenset(done), frozenset(state["begun"]), frozenset(dropped), wanted)


def vault_cannot_be_had(state: State, code: str) -> bool:
    vault = state["vaults"].get(code)
    return (
        vault is not None and vault["stage"] == IN_LANE and (vault["not_found"] or vault["blocked"])
    )


def _out_of_reach(state: State, tasks: Iterable[TaskFacts]) -> frozenset[str]:
    """The pieces in vaults that cannot be had."""
    return frozenset(
        task.tag
        for task in tasks
        if task.kind == "unpack" and task.tag and vault_cannot_be_had(state, task.vault or "")
    )


def _piece(state: State, task: TaskFacts) -> str:
    return piece_key(state, task.tag or "")


def _is_done(state: State, task: TaskFacts) -> bool:
    if task.kind == "fill":
        return str(task.fill) in state["fills"]
    if task.kind == "close":
        return task.tier in state["closed_tiers"]
    if task.tag:
        piece = piece_of(state, task.tag)
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


def _is_dropped(state: State, task: TaskFacts, out_of_reach: frozenset[str]) -> bool:
    if not task.tag:
        return vault_cannot_be_had(state, task.vault or "")
    piece, key = piece_of(state, task.tag), piece_key(state, task.tag)
    if key in state["gone"]:
        return True
    if key in state["left"] and piece is not None and piece["stage"] < LOADED:
        return True
    if task.tag in out_of_reach and (piece is None or piece["stage"] == STORED):
        return True
    if piece is None:
        return False
    if piece["missing"] and piece["stage"] == STORED:
        return True
    return piece["does_not_fit"] and piece["stage"] < LOADED and task.kind in ("carry", "load")
