"""The decorator every compiled function of this package wears.

Numba keys its cache by the file of the compiled function alone, so a change in a function that is
called from another file would go unnoticed. The cache therefore lives in a directory named after
a hash of all sources that hold compiled functions.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar, cast

import numba
from numba.core import config

Function = TypeVar("Function", bound=Callable[..., object])

PACKAGE = Path(__file__).parent


def sources_hash() -> str:
    """Short hash over all sources of this package that hold compiled functions."""
    digest = hashlib.sha256()
    for path in sorted(PACKAGE.glob("*.py")):
        source = path.read_bytes()
        if b"@kernel" in source:
            digest.update(path.name.encode() + source)
    return digest.hexdigest()[:16]


def _cache_directory() -> str:
    base = Path(config.CACHE_DIR) if config.CACHE_DIR else PACKAGE / "__pycache__"
    return str(base / f"packing-{sources_hash()}")


CACHE_DIRECTORY = _cache_directory()


def kernel(function: Function) -> Function:
    """Compile `function` on first call: no GIL, no Python objects, kept on disk between runs."""
    configured = config.CACHE_DIR
    config.CACHE_DIR = CACHE_DIRECTORY
    try:
        return cast(Function, numba.njit(function, cache=True, nogil=True))
    finally:
        config.CACHE_DIR = configured
