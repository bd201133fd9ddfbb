"""The min-max rule: finish a board with one look ahead (Caserta, Schwarze and Voss 2012)."""

from __future__ import annotations

from loading.planner.pulls.search.board import (
    LEAVING,
    Board,
    Ints,
    Log,
    free,
    pull_ready,
    shift,
    top_low,
)
from loading.planner.pulls.search.kernel import bare

FAR = 1 << 20


@bare
def lane_key(board: Board, rank: int, target: int) -> int:
    """How well a lane suits a vault, less is better: below FAR it stands in nobody's way there."""
    low = top_low(board, target)
    if low >= rank:
        return int((low - rank) * 64 + min(free(board, target), 63))
    return int(FAR + (board.tally[LEAVING] - low) * 64 + min(free(board, target), 63))


@bare
def source_lane(board: Board, turn: int) -> int:
    """The lane in which the fewest stand before a vault whose turn it is."""
    best, fewest = -1, 1 << 30
    for lane in range(board.filled.size):
        if top_low(board, lane) == turn:
            n = board.filled[lane]
            i = n - 1
            while board.rank[lane, i] != turn:
                i -= 1
            if n - i < fewest:
                best, fewest = lane, n - i
    return best


@bare
def finish(board: Board, log: Log, limit: int, moves: Ints) -> int:
    """Moves by the rule until all have left, in pairs in `moves`.

    Less than 0 when it gets stuck or makes too many: -1 - how many it made.
    """
    lanes = board.filled.size
    made = 0
    while True:
        turn = pull_ready(board, log)
        if turn == board.tally[LEAVING]:
            return made
        if made >= limit:
            return -1 - made
        source = source_lane(board, turn)
        rank = int(board.rank[source, board.filled[source] - 1])
        best, best_key = -1, 1 << 40
        for target in range(lanes):
            if target != source and free(board, target) > 0:
                key = lane_key(board, rank, target)
                if key < best_key:
                    best, best_key = target, key
        if best < 0:
            return -1 - made
        shift(board, source, best)
        moves[2 * made], moves[2 * made + 1] = source, best
        made += 1
