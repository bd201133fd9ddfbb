"""The lanes as arrays, changed in place: what every kernel of this package works on."""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from loading.planner.pulls.search.kernel import bare
from loading.planner.pulls.stacks import Stacks

Ints: TypeAlias = NDArray[np.int64]
Shorts: TypeAlias = NDArray[np.int16]
Hashes: TypeAlias = NDArray[np.uint64]

BAD = 0  # index into `tally`: vaults that stand before one that leaves earlier
LEAVING = 1  # index into `tally`: the rank of what stays


class Board(NamedTuple):
    """Row s is a lane, column i its i-th vault from the far end.

    `low[s, i]` is the earliest rank among the first i + 1; `trace[s, i]` a hash of them. The hash
    of the whole board is the sum over lanes, so it does not see in what order lanes stand.
    """

    rank: Shorts
    low: Shorts
    slot: Shorts
    trace: Hashes
    filled: Ints
    height: Ints
    seed: Hashes
    tally: Ints


class Log(NamedTuple):
    """What was pulled, to be put back: lane, rank, slot; `length[0]` entries are in use."""

    lane: Ints
    rank: Ints
    slot: Ints
    length: Ints


@bare
def mixed(value: np.uint64) -> np.uint64:
    """SplitMix64's finaliser (Steele, Lea and Flood 2014)."""
    value = (value ^ (value >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    value = (value ^ (value >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return value ^ (value >> np.uint64(31))


@bare
def push(board: Board, lane: int, rank: int, slot: int) -> None:
    """Put a vault in front of a lane; slot 0 means the one after the last taken."""
    i = board.filled[lane]
    if i:
        before = board.low[lane, i - 1]
        trace = board.trace[lane, i - 1]
        if slot == 0:
            slot = board.slot[lane, i - 1] + 1
    else:
        before = np.int16(board.tally[LEAVING])
        trace = board.seed[lane]
        slot = max(slot, 1)
    board.rank[lane, i] = rank
    board.slot[lane, i] = slot
    board.low[lane, i] = min(before, rank)
    board.trace[lane, i] = mixed(
        trace * np.uint64(3) + np.uint64(rank) * np.uint64(65536) + np.uint64(slot)
    )
    if rank > before:
        board.tally[BAD] += 1
    board.filled[lane] = i + 1


@bare
def pop(board: Board, lane: int) -> None:
    i = board.filled[lane] - 1
    if board.rank[lane, i] > board.low[lane, i]:
        board.tally[BAD] -= 1
    board.filled[lane] = i


@bare
def top_low(board: Board, lane: int) -> int:
    """The earliest rank in a lane; that of what stays if nothing in it leaves."""
    i = board.filled[lane]
    return int(board.low[lane, i - 1]) if i else int(board.tally[LEAVING])


@bare
def free(board: Board, lane: int) -> int:
    i = board.filled[lane]
    return int(board.height[lane] - (board.slot[lane, i - 1] if i else 0))


@bare
def next_rank(board: Board) -> int:
    """The rank whose turn it is; that of what stays when all have left."""
    rank = board.tally[LEAVING]
    for lane in range(board.filled.size):
        rank = min(rank, top_low(board, lane))
    return int(rank)


@bare
def pull_ready(board: Board, log: Log) -> int:
    """Pull all whose turn it is and that can be reached; the rank that then has its turn."""
    while True:
        rank = next_rank(board)
        if rank == board.tally[LEAVING]:
            return rank
        pulled = False
        for lane in range(board.filled.size):
            while board.filled[lane] and board.rank[lane, board.filled[lane] - 1] == rank:
                i, n = board.filled[lane] - 1, log.length[0]
                log.lane[n], log.rank[n], log.slot[n] = lane, rank, board.slot[lane, i]
                log.length[0] = n + 1
                pop(board, lane)
                pulled = True
        if not pulled:
            return rank


@bare
def put_back(board: Board, log: Log, length: int) -> None:
    """Undo pulls until the log has this many entries."""
    while log.length[0] > length:
        n = log.length[0] - 1
        push(board, log.lane[n], log.rank[n], log.slot[n])
        log.length[0] = n


@bare
def shift(board: Board, source: int, target: int) -> None:
    rank = board.rank[source, board.filled[source] - 1]
    pop(board, source)
    push(board, target, rank, 0)


@bare
def unshift(board: Board, source: int, target: int, slot: int) -> None:
    """Undo `shift(source, target)` of a vault that stood in that slot."""
    rank = board.rank[target, board.filled[target] - 1]
    pop(board, target)
    push(board, source, rank, slot)


@bare
def board_hash(board: Board) -> np.uint64:
    total = np.uint64(0)
    for lane in range(board.filled.size):
        i = board.filled[lane]
        total += mixed(board.trace[lane, i - 1] if i else board.seed[lane])
    return total


def board_of(stacks: Stacks) -> Board:
    """The kernels' form of a problem."""
    lanes, deep = len(stacks.heights), max((*stacks.heights, 1))
    heights = np.array(stacks.heights, dtype=np.int64)
    board = Board(
        rank=np.zeros((lanes, deep), np.int16),
        low=np.zeros((lanes, deep), np.int16),
        slot=np.zeros((lanes, deep), np.int16),
        trace=np.zeros((lanes, deep), np.uint64),
        filled=np.zeros(lanes, np.int64),
        height=heights,
        seed=np.array([int(h) * 0x9E3779B97F4A7C15 % 2**64 for h in heights], dtype=np.uint64),
        tally=np.array([0, stacks.leaving], dtype=np.int64),
    )
    for lane, ranks in enumerate(stacks.ranks):
        for rank, slot in zip(ranks, stacks.slots[lane], strict=True):
            push(board, lane, rank, slot)
    return board


def log_for(stacks: Stacks) -> Log:
    size = sum(map(len, stacks.ranks)) + 1
    return Log(
        lane=np.zeros(size, np.int64),
        rank=np.zeros(size, np.int64),
        slot=np.zeros(size, np.int64),
        length=np.zeros(1, np.int64),
    )
