"""The decorator every compiled function of this package wears."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

import numba

Function = TypeVar("Function", bound=Callable[..., object])


def kernel(function: Function) -> Function:
    """Compile on first call: no GIL, no Python objects, kept on disk (kernel_cache.py)."""
    return cast(Function, numba.njit(function, cache=True, nogil=True))
