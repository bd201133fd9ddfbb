"""How the search's kernels are compiled: once for each checkout, and without the interpreter."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from numba import njit

F = TypeVar("F", bound=Callable[..., Any])
OPTIONS: dict[str, Any] = {"cache": True, "nogil": True, "error_model": "numpy"}
_njit: Any = njit  # its type does not tell of `_nrt`


def kernel(function: F) -> F:
    """Compile a kernel that makes arrays of its own."""
    compiled: F = _njit(**OPTIONS)(function)
    return compiled


def bare(function: F) -> F:
    """Compile a kernel that makes no array.

    Numba counts references, atomically and in the innermost loops, to the array behind every field
    of a named tuple. Kernels compiled without that run about five times as fast; in one of them
    Numba refuses to make an array.
    """
    compiled: F = _njit(**OPTIONS, _nrt=False)(function)
    return compiled


def inlined(function: F) -> F:
    """Compile a kernel that makes no array into each of its callers."""
    compiled: F = _njit(**OPTIONS, _nrt=False, forceinline=True)(function)
    return compiled


__all__ = ["bare", "inlined", "kernel"]
