"""A lower bound on the moves that are left.

Every vault that stands before an earlier one moves once. Beyond that, walk the targets in order and
take away each with all that stands before it: a vault so taken away that finds no lane where it
would not stand in the way again costs one move more, or, where any vault may be moved, one that
opens such a lane. The first part and the walk are the bounds LB1 and LB3 of Zhu, Qin, Lim and Zhang
(2012), "Iterative deepening A* algorithms for the container relocation problem".

Where any vault may move, one move can open a lane for several. So such a vault counts only if it
can be given, in each other lane, a well-placed vault that leaves before it and is given to no
other: one of these, or the vault itself, must move once more than the first part says.
"""

from __future__ import annotations

from loading.planner.pulls.search.board import BAD, LEAVING, Board, Ints
from loading.planner.pulls.search.kernel import bare


@bare
def extra_moves(board: Board, restricted: bool, enough: int, scratch: Ints) -> int:
    """Moves beyond one for each vault in the way; counting stops at `enough`.

    `scratch` has three rows as long as there are lanes: vaults left in each, vaults of it that may
    still be given, and vaults that were left before the turn at hand.
    """
    left, given, before = scratch[0], scratch[1], scratch[2]
    for lane in range(left.size):
        left[lane] = given[lane] = board.filled[lane]
    bad, extra, stays = board.tally[BAD], 0, board.tally[LEAVING]
    while bad > 0 and extra < enough:
        turn = stays
        for lane in range(left.size):
            turn = min(turn, _low(board, lane, left[lane]))
        if turn == stays:
            break
        best, second = _take_away(board, turn, left, given, before)
        if second == stays:
            break
        for lane in range(left.size):
            elsewhere = second if _low(board, lane, left[lane]) == best else best
            for i in range(left[lane], before[lane]):
                rank = board.rank[lane, i]
                bad -= rank > turn
                if rank > max(turn, elsewhere) and (restricted or _give(board, given, lane, rank)):
                    extra += 1
    return extra


@bare
def _low(board: Board, lane: int, n: int) -> int:
    """The earliest rank among the first n vaults of a lane."""
    return int(board.low[lane, n - 1]) if n else int(board.tally[LEAVING])


@bare
def _take_away(board: Board, turn: int, left: Ints, given: Ints, before: Ints) -> tuple[int, int]:
    """Take away the targets of a turn and all before them; the two latest of the lanes' lows."""
    best, second = -1, -1
    for lane in range(left.size):
        n = before[lane] = left[lane]
        while n and board.low[lane, n - 1] == turn:
            n -= 1
        left[lane] = n
        given[lane] = min(given[lane], n)
        low = _low(board, lane, n)
        if low > best:
            best, second = low, best
        else:
            second = max(second, low)
    return best, second


@bare
def _give(board: Board, given: Ints, home: int, rank: int) -> bool:
    """In each lane but `home` give away a well-placed vault that leaves earlier, or none."""
    for lane in range(given.size):
        if lane != home and (given[lane] == 0 or board.low[lane, given[lane] - 1] >= rank):
            return False
    for lane in range(given.size):
        if lane != home:
            n = given[lane]
            low = board.low[lane, n - 1]
            while n and board.low[lane, n - 1] == low:
                n -= 1
            given[lane] = n
    return True
