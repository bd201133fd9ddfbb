"""Iterative deepening: prove the fewest moves, or raise the bound as far as time allows.

The tree is walked with its own stack, so a call may stop after some nodes and be taken up again.
What failed with so many moves left is kept in a table by the board's hash (64 bits; two boards that
share one are taken for equal, which among 10^8 boards has odds of about 1 in 4000).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from loading.planner.pulls.search.board import (
    BAD,
    LEAVING,
    Board,
    Hashes,
    Ints,
    Log,
    board_hash,
    free,
    pull_ready,
    put_back,
    shift,
    top_low,
    unshift,
)
from loading.planner.pulls.search.bound import extra_moves
from loading.planner.pulls.search.kernel import bare
from loading.planner.pulls.search.rule import FAR, lane_key

DEPTH, LIMIT, NODES, NEXT, RESTRICTED = range(5)
RUNNING, FOUND, FAILED = range(3)


class Walk(NamedTuple):
    """A walk in progress. Row d of `kids` holds the moves to try after d moves, as source * lanes
    + target; `control` holds depth, limit, nodes walked, the next useful limit, restricted or not.
    """

    kids: Ints
    keys: Ints
    kid_count: Ints
    kid_next: Ints
    move: Ints
    slot: Ints
    log_length: Ints
    hashes: Hashes
    seen: Hashes
    failed: Ints
    scratch: Ints
    control: Ints


def walk_for(lanes: int, deepest: int, restricted: bool, table_bits: int) -> Walk:
    return Walk(
        kids=np.zeros((deepest + 2, lanes * lanes), np.int64),
        keys=np.zeros(lanes * lanes + 1, np.int64),
        kid_count=np.zeros(deepest + 2, np.int64),
        kid_next=np.zeros(deepest + 2, np.int64),
        move=np.zeros(deepest + 2, np.int64),
        slot=np.zeros(deepest + 2, np.int64),
        log_length=np.zeros(deepest + 2, np.int64),
        hashes=np.zeros(deepest + 2, np.uint64),
        seen=np.zeros(1 << table_bits, np.uint64),
        failed=np.zeros(1 << table_bits, np.int64),
        scratch=np.zeros((3, lanes), np.int64),
        control=np.array([0, 0, 0, 0, int(restricted)], dtype=np.int64),
    )


@bare
def begin(board: Board, walk: Walk, turn: int, limit: int) -> None:
    """Start a walk for a solution of at most `limit` moves; the board's ready vaults are pulled."""
    walk.control[DEPTH] = 0
    walk.control[LIMIT] = limit
    walk.control[NEXT] = 1 << 30
    walk.hashes[0] = board_hash(board)
    list_kids(board, walk, turn, 0, -1)


@bare
def proceed(board: Board, log: Log, walk: Walk, nodes: int) -> int:
    """Walk at most so many nodes more. FOUND leaves the moves in `walk.move[:depth]`."""
    lanes = board.filled.size
    stop_at = walk.control[NODES] + nodes
    limit = walk.control[LIMIT]
    while walk.control[NODES] < stop_at:
        depth = walk.control[DEPTH]
        if walk.kid_next[depth] == walk.kid_count[depth]:
            remember(walk, depth, limit - depth)
            if depth == 0:
                return FAILED
            take_back(board, log, walk, depth - 1)
            continue
        code = walk.kids[depth, walk.kid_next[depth]]
        walk.kid_next[depth] += 1
        walk.control[NODES] += 1
        source, target = code // lanes, code % lanes
        walk.move[depth] = code
        walk.slot[depth] = board.slot[source, board.filled[source] - 1]
        walk.log_length[depth] = log.length[0]
        shift(board, source, target)
        turn = pull_ready(board, log)
        walk.control[DEPTH] = depth + 1
        if turn == board.tally[LEAVING]:
            return FOUND
        if hopeless(board, walk, depth + 1, limit):
            take_back(board, log, walk, depth)
        else:
            resting = target if log.length[0] == walk.log_length[depth] else -1
            list_kids(board, walk, turn, depth + 1, resting)
    return RUNNING


@bare
def take_back(board: Board, log: Log, walk: Walk, depth: int) -> None:
    """Undo the move made at this depth and the pulls after it."""
    put_back(board, log, walk.log_length[depth])
    lanes = board.filled.size
    code = walk.move[depth]
    unshift(board, code // lanes, code % lanes, walk.slot[depth])
    walk.control[DEPTH] = depth


@bare
def hopeless(board: Board, walk: Walk, depth: int, limit: int) -> bool:
    """The bound or an earlier failure says that the moves left do not suffice."""
    slack = limit - depth - board.tally[BAD]
    if slack >= 0:
        extra = extra_moves(board, walk.control[RESTRICTED] == 1, slack + 1, walk.scratch)
        slack -= extra
    if slack < 0:
        walk.control[NEXT] = min(walk.control[NEXT], limit - slack)
        return True
    code = board_hash(board)
    walk.hashes[depth] = code
    place = code & np.uint64(walk.seen.size - 1)
    if walk.seen[place] == code and walk.failed[place] >= limit - depth:
        walk.control[NEXT] = min(walk.control[NEXT], limit + 1)
        return True
    return False


@bare
def remember(walk: Walk, depth: int, moves_left: int) -> None:
    place = walk.hashes[depth] & np.uint64(walk.seen.size - 1)
    walk.seen[place] = walk.hashes[depth]
    walk.failed[place] = moves_left


@bare
def list_kids(board: Board, walk: Walk, turn: int, depth: int, resting: int) -> None:
    """The moves worth trying at this depth, the most hopeful first.

    `resting` is the lane whose first vault was moved there just now: moving it on would be two
    moves for one. -1 if there is none.
    """
    slack = walk.control[LIMIT] - depth - board.tally[BAD]
    n = 0
    for source in range(board.filled.size):
        wanted = top_low(board, source) == turn
        if source != resting and board.filled[source] and (wanted or not walk.control[RESTRICTED]):
            n = add_kids(board, walk, depth, source, wanted, slack, n)
    walk.kid_count[depth] = n
    walk.kid_next[depth] = 0


@bare
def add_kids(
    board: Board, walk: Walk, depth: int, source: int, wanted: bool, slack: int, n: int
) -> int:
    """Insert the moves out of one lane in order of their keys; how many there are then."""
    lanes = board.filled.size
    kids, keys = walk.kids[depth], walk.keys
    i = board.filled[source] - 1
    rank = int(board.rank[source, i])
    was_bad = rank > board.low[source, i]
    empty_seen = np.uint64(0)
    for target in range(lanes):
        if target == source or free(board, target) <= 0:
            continue
        if board.filled[target] == 0:
            if empty_seen == board.seed[target]:
                continue
            empty_seen = board.seed[target]
        if slack - 1 + was_bad - (rank > top_low(board, target)) < 0:
            continue
        key = lane_key(board, rank, target)
        if not was_bad:
            key += 2 * FAR
        elif not wanted:
            key += FAR // 2
        at = n
        while at and keys[at - 1] > key:
            keys[at], kids[at] = keys[at - 1], kids[at - 1]
            at -= 1
        keys[at], kids[at] = key, source * lanes + target
        n += 1
    return n
