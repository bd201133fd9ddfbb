"""What an event contradicts: the plan, the order of the tiers, or what is known already.

A conflict is stored like any other fact, for it happened; people are told.
"""

from collections.abc import Callable, Container, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from jobs.folding.folding import TAG_IN_USE, resolved
from jobs.folding.kinds import FROM_OUTSIDE, NEW_PIECES, EventKind
from jobs.folding.outcome import TaskFacts
from jobs.folding.state import (
    GONE,
    IN_LANE,
    IN_TRUCK,
    LOADED,
    ON_FLOOR,
    STORED,
    FoldEvent,
    State,
    piece_key,
)

UNKNOWN: Final = "not_in_plan"
ALREADY: Final = "known_already"
ORDER: Final = "out_of_order"
LEFT: Final = "has_left"
ELSEWHERE: Final = "elsewhere"
CODES: Final = (UNKNOWN, ALREADY, ORDER, LEFT, ELSEWHERE, TAG_IN_USE)

_STAGE_REPORTED: Final = {
    EventKind.PIECE_UNPACKED: ON_FLOOR,
    EventKind.PIECE_FETCHED: ON_FLOOR,
    EventKind.PIECE_CARRIED: IN_TRUCK,
}


@dataclass(frozen=True, slots=True)
class PlanFacts:
    """What the tasks of the accepted plan are about."""

    keys: frozenset[str]
    vaults: frozenset[str]
    fills: frozenset[int]
    tags: frozenset[str]
    tier_of: Mapping[str, int]
    vault_of: Mapping[str, str]


def plan_facts(tasks: Iterable[TaskFacts]) -> PlanFacts:
    """Gather from a job's tasks which pieces, vaults and fills there are."""
    tasks = tuple(tasks)
    return PlanFacts(
        keys=frozenset(task.key for task in tasks),
        vaults=frozenset(task.vault for task in tasks if task.vault),
        fills=frozenset(task.fill for task in tasks if task.fill is not None),
        tags=frozenset(task.tag for task in tasks if task.tag),
        tier_of={task.tag: task.tier for task in tasks if task.tag and task.tier is not None},
        vault_of={t.tag: t.vault for t in tasks if t.kind == "unpack" and t.tag and t.vault},
    )


def conflict_of(state: State, facts: PlanFacts, event: FoldEvent) -> str:
    """The code of what an event contradicts, judged before it is folded in; "" for nothing."""
    event = resolved(state, event)
    if event.kind in NEW_PIECES:
        tag = event.payload["tag"]
        return ALREADY if tag in _known_tags(state, facts) else ""
    if not _is_known(state, facts, event):
        return UNKNOWN
    if event.payload.get("tag") in state["gone"]:
        return LEFT
    if event.kind in _PLAN_RULES:
        return _PLAN_RULES[event.kind](state, facts, event)
    rule = _STATE_RULES.get(event.kind)
    return rule(state, event) if rule else ""


def _is_known(state: State, facts: PlanFacts, event: FoldEvent) -> bool:
    payload = event.payload
    if event.kind is EventKind.PIECE_WANTED or event.kind in FROM_OUTSIDE:
        return True  # The plan has no task for what it leaves behind, nor for another's vault.
    if event.kind is EventKind.TASK_BEGUN:
        return payload["task"] in facts.keys
    if "tag" in payload:
        return payload["tag"] in _known_tags(state, facts)
    if "vault" in payload:
        return payload["vault"] in facts.vaults
    if event.kind is EventKind.FILL_PLACED:
        return payload["fill"] in facts.fills
    if event.kind is EventKind.TIER_CLOSED:
        return payload["tier"] in facts.tier_of.values()
    return True


def _known_tags(state: State, facts: PlanFacts) -> Container[str]:
    """The pieces of the plan, by their first tags, and those that came to light since."""
    return {piece_key(state, tag) for tag in facts.tags} | state["extra"].keys()


def _stage(state: State, tag: str) -> int:
    piece = state["pieces"].get(tag)
    return piece["stage"] if piece else STORED


def _vault_stage(state: State, code: str) -> int:
    vault = state["vaults"].get(code)
    return vault["stage"] if vault else IN_LANE


def _moved_on(state: State, event: FoldEvent) -> str:
    return ALREADY if _stage(state, event.payload["tag"]) >= _STAGE_REPORTED[event.kind] else ""


def _loaded(state: State, facts: PlanFacts, event: FoldEvent) -> str:
    if _stage(state, event.payload["tag"]) == LOADED:
        return ALREADY
    tier, closed = facts.tier_of.get(_tag_now(state, event), 0), state["closed_tiers"]
    earlier_open = any(number < tier and number not in closed for number in facts.tier_of.values())
    return ORDER if earlier_open or tier in closed else ""


def _loaded_elsewhere(state: State, event: FoldEvent) -> str:
    return ALREADY if _stage(state, event.payload["tag"]) == LOADED else ELSEWHERE


def _retagged(state: State, facts: PlanFacts, event: FoldEvent) -> str:
    number = event.payload["number"]
    used = number in state["renamed"] or number in _known_tags(state, facts)
    return TAG_IN_USE if used and number != event.payload["tag"] else ""


def _tag_now(state: State, event: FoldEvent) -> str:
    tag: str = event.payload["tag"]
    return state["numbers"].get(tag, tag)


def _wrapped(state: State, event: FoldEvent) -> str:
    piece = state["pieces"].get(event.payload["tag"])
    return ALREADY if piece and piece["wrapped"] else ""


def _pulled(state: State, event: FoldEvent) -> str:
    return ALREADY if _vault_stage(state, event.payload["vault"]) != IN_LANE else ""


def _stowed(state: State, event: FoldEvent) -> str:
    vault = state["vaults"].get(event.payload["vault"])
    return ALREADY if vault and vault["stored"] else ""


def _cleared(state: State, facts: PlanFacts, event: FoldEvent) -> str:
    code = event.payload["vault"]
    if _vault_stage(state, code) == GONE:
        return ALREADY
    left = [tag for tag, vault in facts.vault_of.items() if vault == code]
    return ORDER if any(_still_inside(state, tag) for tag in left) else ""


def _still_inside(state: State, tag: str) -> bool:
    """Whether a piece should have come out; one that somebody leaves may go away in its vault."""
    if piece_key(state, tag) in state["gone"] or tag in state["left"]:
        return False
    piece = state["pieces"].get(piece_key(state, tag))
    return piece is None or (piece["stage"] == STORED and not piece["missing"])


def _not_had(state: State, event: FoldEvent) -> str:
    return ALREADY if _stage(state, event.payload["tag"]) == LOADED else ""


def _filled(state: State, event: FoldEvent) -> str:
    return ALREADY if str(event.payload["fill"]) in state["fills"] else ""


def _closed(state: State, facts: PlanFacts, event: FoldEvent) -> str:
    tier = event.payload["tier"]
    if tier in state["closed_tiers"]:
        return ALREADY
    return ORDER if any(_still_to_load(state, facts, tag, tier) for tag in facts.tier_of) else ""


def _still_to_load(state: State, facts: PlanFacts, tag: str, tier: int) -> bool:
    if facts.tier_of[tag] != tier or piece_key(state, tag) in state["gone"]:
        return False
    piece = state["pieces"].get(piece_key(state, tag))
    if piece is None:
        return True
    return piece["stage"] < LOADED and not (piece["missing"] or piece["does_not_fit"])


_STATE_RULES: Final[Mapping[EventKind, Callable[[State, FoldEvent], str]]] = {
    EventKind.PIECE_UNPACKED: _moved_on,
    EventKind.PIECE_FETCHED: _moved_on,
    EventKind.PIECE_CARRIED: _moved_on,
    EventKind.PIECE_LOADED_ELSEWHERE: _loaded_elsewhere,
    EventKind.PIECE_WRAPPED: _wrapped,
    EventKind.PIECE_WANTED: _not_had,
    EventKind.PIECE_MISSING: _not_had,
    EventKind.PIECE_DOES_NOT_FIT: _not_had,
    EventKind.PIECE_LEFT: _not_had,
    EventKind.VAULT_PULLED: _pulled,
    EventKind.VAULT_STOWED: _stowed,
    EventKind.FILL_PLACED: _filled,
}

_PLAN_RULES: Final[Mapping[EventKind, Callable[[State, PlanFacts, FoldEvent], str]]] = {
    EventKind.PIECE_LOADED: _loaded,
    EventKind.PIECE_RETAGGED: _retagged,
    EventKind.VAULT_CLEARED: _cleared,
    EventKind.TIER_CLOSED: _closed,
}
