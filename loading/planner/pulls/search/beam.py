"""Beam search: wide enough it finds the optimum, and it always has an answer.

One step of the beam is one move. A board is ranked by moves made plus the bound on those left, then
by how many the rule would need from there; each such finish is also an answer.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loading.planner.pulls.search.board import (
    BAD,
    Board,
    Hashes,
    Ints,
    Log,
    Shorts,
    board_hash,
    free,
    pull_ready,
    push,
    put_back,
    shift,
    top_low,
    unshift,
)
from loading.planner.pulls.search.bound import extra_moves
from loading.planner.pulls.search.kernel import bare, kernel
from loading.planner.pulls.search.rule import FAR, finish, lane_key

CHOSEN_PER_PLACE = 3  # boards that the rule finishes for each place in the beam
BEST, MADE, COUNT = range(3)


class Level(NamedTuple):
    """The boards of one step: ranks, slots and how many stand in each lane."""

    rank: NDArray[np.int16]
    slot: NDArray[np.int16]
    filled: Ints


class Heirs(NamedTuple):
    """Boards one move on, by the parent's place and the move; `key` ranks them."""

    parent: Ints
    move: Ints
    key: Ints
    code: Hashes


def level_for(width: int, board: Board) -> Level:
    lanes, deep = board.rank.shape
    return Level(
        np.zeros((width, lanes, deep), np.int16),
        np.zeros((width, lanes, deep), np.int16),
        np.zeros((width, lanes), np.int64),
    )


def heirs_for(size: int) -> Heirs:
    return Heirs(
        np.zeros(size, np.int64),
        np.zeros(size, np.int64),
        np.zeros(size, np.int64),
        np.zeros(size, np.uint64),
    )


@bare
def load_board(board: Board, rank: Shorts, slot: Shorts, count: Ints) -> None:
    board.tally[BAD] = 0
    for lane in range(count.size):
        board.filled[lane] = 0
        for i in range(count[lane]):
            push(board, lane, rank[lane, i], slot[lane, i])


@bare
def save_board(board: Board, level: Level, place: int) -> None:
    for lane in range(board.filled.size):
        level.filled[place, lane] = board.filled[lane]
        for i in range(board.filled[lane]):
            level.rank[place, lane, i] = board.rank[lane, i]
            level.slot[place, lane, i] = board.slot[lane, i]


@bare
def list_heirs(
    board: Board,
    log: Log,
    level: Level,
    places: int,
    room: int,
    restricted: bool,
    scratch: Ints,
    heirs: Heirs,
) -> int:
    """Every board one move on that may still need at most `room` moves; how many there are."""
    lanes = board.filled.size
    n = 0
    for place in range(places):
        load_board(board, level.rank[place], level.slot[place], level.filled[place])
        turn = pull_ready(board, log)
        log.length[0] = 0
        for source in range(lanes):
            wanted = top_low(board, source) == turn
            if board.filled[source] == 0 or (restricted and not wanted):
                continue
            top = board.filled[source] - 1
            slot, rank = board.slot[source, top], int(board.rank[source, top])
            was_bad = rank > board.low[source, top]
            empty_seen = np.uint64(0)
            for target in range(lanes):
                if target == source or free(board, target) <= 0:
                    continue
                if board.filled[target] == 0:
                    if empty_seen == board.seed[target]:
                        continue
                    empty_seen = board.seed[target]
                if board.tally[BAD] - was_bad + (rank > top_low(board, target)) > room:
                    continue
                fit = min(lane_key(board, rank, target), 2 * FAR - 1) // 16
                shift(board, source, target)
                pull_ready(board, log)
                need = board.tally[BAD]
                need += extra_moves(board, restricted, room - need + 1, scratch)
                if need <= room and n < heirs.key.size:
                    heirs.parent[n], heirs.move[n] = place, source * lanes + target
                    heirs.key[n] = need * FAR + fit
                    heirs.code[n] = board_hash(board)
                    n += 1
                put_back(board, log, 0)
                unshift(board, source, target, slot)
    return n


@kernel
def choose(heirs: Heirs, n: int, wanted: int, chosen: Ints) -> int:
    """The best `wanted` of the first n heirs, without doubles."""
    order = np.argsort(heirs.key[:n], kind="mergesort")
    size = 64
    while size < 4 * wanted:
        size *= 2
    table = np.full(size, -1, np.int64)
    taken = 0
    for j in order:
        place = np.int64(heirs.code[j] & np.uint64(size - 1))
        while table[place] >= 0 and heirs.code[table[place]] != heirs.code[j]:
            place = (place + 1) & (size - 1)
        if table[place] < 0:
            table[place] = j
            chosen[taken] = j
            taken += 1
            if taken == wanted:
                break
    return taken


@kernel
def step(
    board: Board,
    log: Log,
    level: Level,
    heirs: Heirs,
    out: Level,
    parents: Ints,
    codes: Ints,
    best_tail: Ints,
    state: Ints,
    width: int,
    restricted: bool,
    scratch: Ints,
) -> int:
    """One step of the beam; how many boards are in `out`.

    `state` holds the fewest moves known, the moves made before this step, and the boards in
    `level`. When a finish by the rule beats the fewest moves, `best_tail` gets its parent's place,
    the move, the length of the finish and the finish, and `state[BEST]` the moves.
    """
    lanes = board.filled.size
    room = state[BEST] - 1 - (state[MADE] + 1)
    n = list_heirs(board, log, level, state[COUNT], room, restricted, scratch, heirs)
    chosen = np.zeros(CHOSEN_PER_PLACE * width, np.int64)
    taken = choose(heirs, n, CHOSEN_PER_PLACE * width, chosen)
    tail = np.zeros(best_tail.size, np.int64)
    for j in chosen[:taken]:
        place, code = heirs.parent[j], heirs.move[j]
        load_board(board, level.rank[place], level.slot[place], level.filled[place])
        log.length[0] = 0
        pull_ready(board, log)
        shift(board, code // lanes, code % lanes)
        log.length[0] = 0
        left = finish(board, log, 2 * state[BEST], tail)
        log.length[0] = 0
        need = heirs.key[j] // FAR
        heirs.key[j] = need * FAR + (left if left >= 0 else FAR - 1)
        if left >= 0 and state[MADE] + 1 + left < state[BEST]:
            state[BEST] = state[MADE] + 1 + left
            best_tail[0], best_tail[1], best_tail[2] = place, code, left
            best_tail[3 : 3 + 2 * left] = tail[: 2 * left]
    order = np.argsort(heirs.key[chosen[:taken]], kind="mergesort")
    kept = 0
    for k in order[:width]:
        j = chosen[k]
        if state[MADE] + 1 + heirs.key[j] // FAR >= state[BEST]:
            continue
        place, code = heirs.parent[j], heirs.move[j]
        load_board(board, level.rank[place], level.slot[place], level.filled[place])
        log.length[0] = 0
        pull_ready(board, log)
        shift(board, code // lanes, code % lanes)
        pull_ready(board, log)
        log.length[0] = 0
        save_board(board, out, kept)
        parents[kept], codes[kept] = place, code
        kept += 1
    return kept
