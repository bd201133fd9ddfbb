"""A lower bound on the moves that are left.

Every vault that stands before an earlier one moves once. Beyond that, walk the targets in order and
take away each with all that stands before it: a vault so taken away that finds no lane where it
would not stand in the way again costs one move more, or, where any vault may be moved, one that
opens such a lane. The first part and the walk are the bounds LB1 and LB3 of Zhu, Qin, Lim and Zhang
(2012), "Iterative deepening A* algorithms for the container relocation problem".

Where any vault may move, one move can open a lane for several. So such a vault counts only if it
can be given, in each other lane, a well-placed vault that leaves before it and is given to no other:
one of these, or the vault itself, must move once more than the first part says.
"""

from __future__ import annotations

from loading.planner.pulls.search.board import BAD, LEAVING, Board, Ints
from loading.planner.pulls.search.kernel import kernel


@kernel
def extra_moves(board: Board, restricted: bool, enough: int, scratch: Ints) -> int:
    """Moves beyond one for each vault in the way; counting stops at `enough`.

    `scratch` has three rows as long as there are lanes: vaults left in each, vaults of it that may
    still be given, and vaults that were left before the turn at hand.
    """
    lanes = board.count.size
    left, given, before = scratch[0], scratch[1], scratch[2]
    left[:] = board.count
    given[:] = board.count
    bad, extra, stays = board.tally[BAD], 0, board.tally[LEAVING]
    while bad > 0:
        turn = stays
        for lane in range(lanes):
            if left[lane]:
                turn = min(turn, board.low[lane, left[lane] - 1])
        if turn == stays:
            return extra
        best, second = -1, -1
        for lane in range(lanes):
            n = left[lane]
            before[lane] = n
            while n and board.low[lane, n - 1] == turn:
                n -= 1
            left[lane] = n
            given[lane] = min(given[lane], n)
            low = board.low[lane, n - 1] if n else stays
            if low > best:
                best, second = low, best
            else:
                second = max(second, low)
        if second == stays:
            return extra
        for lane in range(lanes):
            n = left[lane]
            elsewhere = second if (board.low[lane, n - 1] if n else stays) == best else best
            for i in range(n, before[lane]):
                rank = board.rank[lane, i]
                if rank <= turn:
                    continue
                bad -= 1
                if rank > elsewhere and (restricted or _give(board, given, lane, rank)):
                    extra += 1
                    if extra >= enough:
                        return extra
    return extra


@kernel
def _give(board: Board, given: Ints, home: int, rank: int) -> bool:
    """Give away one well-placed vault that leaves earlier in each lane but `home`, if all have one."""
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
