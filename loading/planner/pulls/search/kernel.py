"""The decorator of this package's compiled functions.

Numba looks only at a function's own file to see whether its cache is stale, so the cache lives in a
directory named after a hash of the package's sources that hold kernels.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

Function = TypeVar("Function", bound=Callable[..., object])

PACKAGE = Path(__file__).parent
SETTINGS: Any = numba.config
NJIT: Any = numba.njit  # its type does not tell of `_nrt`


def _cache_directory() -> str:
    digest = hashlib.sha256()
    for path in sorted(PACKAGE.glob("*.py")):
        source = path.read_bytes()
        if b"@kernel" in source or b"@bare" in source:
            digest.update(path.name.encode() + source)
    base = Path(SETTINGS.CACHE_DIR) if SETTINGS.CACHE_DIR else PACKAGE / "__pycache__"
    return str(base / f"pulls-{digest.hexdigest()[:16]}")


CACHE_DIRECTORY = _cache_directory()


def kernel(function: Function) -> Function:
    """Compile on first call: no GIL, no Python objects, kept on disk between runs."""
    return _compiled(function)


def bare(function: Function) -> Function:
    """The same for a function that makes no array, not even a copy of one.

    Numba then counts no references to the arrays of a named tuple, which costs more than the work.
    """
    return _compiled(function, _nrt=False)


def _compiled(function: Function, **settings: Any) -> Function:
    configured = SETTINGS.CACHE_DIR
    SETTINGS.CACHE_DIR = CACHE_DIRECTORY
    try:
        options = {"cache": True, "nogil": True, "error_model": "numpy"} | settings
        return cast(Function, NJIT(**options)(function))
    finally:
        SETTINGS.CACHE_DIR = configured
