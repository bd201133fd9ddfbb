"""Fewest moves out of stacks: bound, one-look rule, beam and iterative deepening."""

from loading.planner.pulls.search.solve import Relocation, moves_until_stuck, solve, warm

__all__ = ["Relocation", "moves_until_stuck", "solve", "warm"]
