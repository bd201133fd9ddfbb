"""Compiled functions of a package in a directory of their own, named by a hash of its sources.

Numba looks only at a function's own file to see whether its cache is stale, not at what it takes
from other files. This is for a package whose kernels take nothing from other packages: to edit it
leaves the kernels of all others as they are.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

Function = TypeVar("Function", bound=Callable[..., object])

SETTINGS: Any = numba.config
NJIT: Any = numba.njit  # its type does not tell of `_nrt`


class OwnCache:
    """The compiler of one package."""

    def __init__(self, package: Path, name: str) -> None:
        digest = hashlib.sha256()
        for path in sorted(package.glob("*.py")):
            digest.update(path.name.encode() + path.read_bytes())
        base = Path(SETTINGS.CACHE_DIR) if SETTINGS.CACHE_DIR else package / "__pycache__"
        self.directory = str(base / f"{name}-{digest.hexdigest()[:16]}")

    def compiled(self, function: Function, **options: Any) -> Function:
        """Compile on first call: no GIL, no Python objects, kept on disk between runs."""
        configured = SETTINGS.CACHE_DIR
        SETTINGS.CACHE_DIR = self.directory
        try:
            return cast(Function, NJIT(**{"cache": True, "nogil": True} | options)(function))
        finally:
            SETTINGS.CACHE_DIR = configured
