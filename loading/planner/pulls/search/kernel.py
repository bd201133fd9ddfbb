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


def _cache_directory() -> str:
    digest = hashlib.sha256()
    for path in sorted(PACKAGE.glob("*.py")):
        source = path.read_bytes()
        if b"@kernel" in source:
            digest.update(path.name.encode() + source)
    base = Path(SETTINGS.CACHE_DIR) if SETTINGS.CACHE_DIR else PACKAGE / "__pycache__"
    return str(base / f"pulls-{digest.hexdigest()[:16]}")


CACHE_DIRECTORY = _cache_directory()


def kernel(function: Function) -> Function:
    """Compile on first call: no GIL, no Python objects, kept on disk between runs."""
    configured = SETTINGS.CACHE_DIR
    SETTINGS.CACHE_DIR = CACHE_DIRECTORY
    try:
        return cast(Function, numba.njit(function, cache=True, nogil=True))
    finally:
        SETTINGS.CACHE_DIR = configured
