"""The decorators of this package's compiled functions."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from loading.planner.own_cache import OwnCache

Function = TypeVar("Function", bound=Callable[..., object])

CACHE = OwnCache(Path(__file__).parent, "pulls")


def kernel(function: Function) -> Function:
    """Compile on first call, see `OwnCache.compiled`."""
    return CACHE.compiled(function, error_model="numpy")


def bare(function: Function) -> Function:
    """The same for a function that makes no array, not even a copy of one.

    Numba then counts no references to the arrays of a named tuple, which costs more than the work.
    """
    return CACHE.compiled(function, error_model="numpy", _nrt=False)
