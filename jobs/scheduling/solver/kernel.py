"""The decorators of this package's compiled functions."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from loading.planner.own_cache import OwnCache

Function = TypeVar("Function", bound=Callable[..., Any])

CACHE = OwnCache(Path(__file__).parent, "solver")


def kernel(function: Function) -> Function:
    """Compile on first call, see `OwnCache.compiled`."""
    return CACHE.compiled(function)


def bare(function: Function) -> Function:
    """The same without counting references to arrays, for a function that makes none."""
    return CACHE.compiled(function, error_model="numpy", _nrt=False)


def inner(function: Function) -> Function:
    """The same for a small function that others call all the time: it becomes part of these.

    A call would hand over all the tables, array by array, which takes longer than the work.
    """
    return CACHE.compiled(function, error_model="numpy", _nrt=False, forceinline=True)
