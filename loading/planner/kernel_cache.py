"""Where compiled kernels are kept.

Numba keys its cache by the file of a function, so that an edit in one file leaves callers in
another with a stale copy. The directory's name therefore holds a hash of every source that can be
compiled, but for packages with a directory of their own (`own_cache`) below it.
"""

import hashlib
import os
from pathlib import Path

KERNEL_PACKAGES = ("packing", "search")


def kernel_cache_name(planner: Path = Path(__file__).parent) -> str:
    """`kernels-` and 12 signs of a hash over all sources of the packages that hold kernels."""
    told = hashlib.sha256()
    for package in KERNEL_PACKAGES:
        for source in sorted((planner / package).rglob("*.py")):
            told.update(str(source.relative_to(planner)).encode())
            told.update(source.read_bytes())
    return f"kernels-{told.hexdigest()[:12]}"


def use_kernel_cache() -> None:
    """Point Numba at this checkout's directory, unless NUMBA_CACHE_DIR names another.

    To be called by an entry point before anything imports Numba, which reads the variable then.
    """
    if not os.environ.get("NUMBA_CACHE_DIR"):
        checkout = Path(__file__).resolve().parents[2]
        os.environ["NUMBA_CACHE_DIR"] = str(checkout / ".run" / kernel_cache_name())
