"""Fewest moves out of stacks: bound, one-look rule, beam and iterative deepening."""

from loading.planner.pulls.search.solve import Relocation, solve, warm

__all__ = ["Relocation", "solve", "warm"]
