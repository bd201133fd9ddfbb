"""Fewest moves out of stacks, anytime: the rule, growing beams and a proof take turns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loading.planner.pulls.search import beam, exact
from loading.planner.pulls.search.board import BAD, Board, Ints, board_of, log_for, pull_ready
from loading.planner.pulls.search.bound import extra_moves
from loading.planner.pulls.search.rule import finish
from loading.planner.pulls.stacks import Stacks
from loading.planner.stopping import Iterations, Stop

NODES_PER_CALL = 2_000
TABLE_BITS = 20
# A beam of so many boards, then so many nodes of the proof; then the next beam.
TURNS = (
    (20, 30_000),
    (60, 0),
    (200, 30_000),
    (600, 300_000),
    (2_000, 1_000_000),
    (6_000, 3_000_000),
)
HEIRS_MOST = 400_000

Move = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Relocation:
    """Moves between lanes, pulls left out: a vault leaves as soon as it is its turn and it can.

    `bound` is a proved lower bound; `proved` says that the moves meet it. `moves` is None when no
    way was found.
    """

    moves: tuple[Move, ...] | None
    bound: int
    proved: bool


def solve(stacks: Stacks, *, restricted: bool, stop: Stop) -> Relocation:
    """Fewest moves so that all ranks leave in turn.

    Restricted: only vaults before one whose turn it is are moved. One iteration of `stop` is one
    node of the proof or one board in a beam.
    """
    return _Solver(stacks, restricted, stop).run()


def moves_until_stuck(stacks: Stacks) -> tuple[Move, ...]:
    """What the rule does until all have left or a vault fits nowhere."""
    return tuple(_by_rule(stacks, 3 * sum(map(len, stacks.ranks)) + 3)[0])


def _by_rule(stacks: Stacks, most: int) -> tuple[list[Move], bool]:
    """The rule's moves, and whether all leave."""
    moves: Ints = np.zeros(2 * most + 2, np.int64)
    made = finish(board_of(stacks), log_for(stacks), most, moves)
    count = made if made >= 0 else -1 - made
    return [(int(moves[2 * i]), int(moves[2 * i + 1])) for i in range(count)], made >= 0


def warm() -> None:
    """Compile the kernels, or load them from the cache."""
    stacks = Stacks.of_full(((2, 0, 3), (1, 4), ()), (3, 3, 3))
    for restricted in (True, False):
        solver = _Solver(stacks, restricted, Iterations(100))
        solver.search_wide(2, restricted=restricted)
        solver.moves = None
        solver.prove(100)
        solver.finish_by_rule()


class _Solver:
    def __init__(self, stacks: Stacks, restricted: bool, stop: Stop) -> None:
        self.stacks, self.restricted, self.stop = stacks, restricted, stop
        self.log = log_for(stacks)
        self.scratch: Ints = np.zeros((3, len(stacks.heights)), np.int64)
        self.iterations = 0
        self.moves: list[Move] | None = None
        board = self._fresh()
        need = int(board.tally[BAD])
        self.bound = need + int(extra_moves(board, restricted, 1 << 20, self.scratch))
        self.most = 3 * sum(map(len, stacks.ranks)) + 3
        self._walk: exact.Walk | None = None
        self._board: Board = board
        self._walking = False

    def run(self) -> Relocation:
        self.finish_by_rule()
        for width, nodes in TURNS:
            if self._over():
                break
            if not self.restricted:
                self.search_wide(width, restricted=True)
            self.search_wide(width, restricted=self.restricted)
            self.prove(nodes)
        while not self._over() and self.bound <= self.most:
            self.prove(NODES_PER_CALL)
        return Relocation(
            None if self.moves is None else tuple(self.moves), self.bound, self._met()
        )

    def _fresh(self) -> Board:
        """The board as it is once all that can leave at once have left."""
        board = board_of(self.stacks)
        pull_ready(board, log_for(self.stacks))
        return board

    def _fewest(self) -> int:
        return self.most if self.moves is None else len(self.moves)

    def _met(self) -> bool:
        return self.moves is not None and len(self.moves) <= self.bound

    def _over(self) -> bool:
        return self._met() or self.stop.reached(self.iterations)

    def finish_by_rule(self) -> None:
        moves, done = _by_rule(self.stacks, self.most)
        if done:
            self.moves = moves

    # -- the proof ---------------------------------------------------------------------------------
    def prove(self, nodes: int) -> None:
        """Go on with the proof for about so many nodes; raises `bound`, may find `moves`."""
        walk = self._walk
        if walk is None:
            walk = self._walk = exact.walk_for(
                len(self.stacks.heights), self.most, self.restricted, TABLE_BITS
            )
        until = self.iterations + nodes
        while self.iterations < until and not self._over() and self.bound <= self.most:
            if not self._walking:
                self._begin(walk)
            before = int(walk.control[exact.NODES])
            outcome = exact.proceed(self._board, self.log, walk, NODES_PER_CALL)
            self.iterations += int(walk.control[exact.NODES]) - before + 1
            if outcome == exact.FAILED:
                self.bound += 1
                self._walking = False
            elif outcome == exact.FOUND:
                self._take_found(walk)

    def _begin(self, walk: exact.Walk) -> None:
        self._board = board_of(self.stacks)
        turn = pull_ready(self._board, self.log)
        self.log.length[0] = 0
        exact.begin(self._board, walk, turn, self.bound)
        self._walking = True

    def _take_found(self, walk: exact.Walk) -> None:
        lanes = len(self.stacks.heights)
        depth = int(walk.control[exact.DEPTH])
        codes = [int(code) for code in walk.move[:depth]]
        self.moves = [(code // lanes, code % lanes) for code in codes]
        self._walking = False

    # -- the beam ----------------------------------------------------------------------------------
    def search_wide(self, width: int, *, restricted: bool) -> None:
        """One beam of this width from the start; stops early when time would run out.

        A restricted one is quick, and what it finds is a way where any vault may be moved, too: in
        deep lanes the wider choice alone is often worse.
        """
        board = self._fresh()
        lanes = len(self.stacks.heights)
        log = log_for(self.stacks)
        level, out = beam.level_for(width, board), beam.level_for(width, board)
        beam.save_board(board, level, 0)
        heirs = beam.heirs_for(min(HEIRS_MOST, width * lanes * lanes))
        tail: Ints = np.zeros(2 * self.most * 2 + 8, np.int64)
        state: Ints = np.array([self._fewest() + (self.moves is None), 0, 1], dtype=np.int64)
        history: list[tuple[Ints, Ints]] = []
        used = 0.0
        while state[beam.COUNT] and not self._over():
            share = self.stop.share(self.iterations)
            if history and share + used * 1.5 > 1.0:
                return
            parents: Ints = np.zeros(width, np.int64)
            codes: Ints = np.zeros(width, np.int64)
            best = int(state[beam.BEST])
            kept = beam.step(
                board,
                log,
                level,
                heirs,
                out,
                parents,
                codes,
                tail,
                state,
                width,
                restricted,
                self.scratch,
            )
            if state[beam.BEST] < best:
                self._take_tail(history, tail)
            history.append((parents, codes))
            self.iterations += int(state[beam.COUNT])
            used = self.stop.share(self.iterations) - share
            state[beam.MADE] += 1
            state[beam.COUNT] = kept
            level, out = out, level

    def _take_tail(self, history: list[tuple[Ints, Ints]], tail: Ints) -> None:
        """The moves that led to a finish by the rule, and the finish."""
        lanes = len(self.stacks.heights)
        place, codes = int(tail[0]), [int(tail[1])]
        for parents, made in reversed(history):
            codes.append(int(made[place]))
            place = int(parents[place])
        moves = [(code // lanes, code % lanes) for code in reversed(codes)]
        left = int(tail[2])
        self.moves = moves + [(int(tail[3 + 2 * i]), int(tail[4 + 2 * i])) for i in range(left)]
