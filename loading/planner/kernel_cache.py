"""Where compiled kernels are kept.

Numba keys its cache by the file of a function, so that an edit in one file leaves callers in
another with a stale copy. The directory's name therefore holds a hash of every source that can be
compiled. `python -m loading.planner.kernel_cache` compiles all kernels ahead of the first plan.
"""

import hashlib
import importlib
import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

KERNEL_PACKAGES = ("packing", "search")  # `pulls` names a directory of its own within
WARMED = (
    "loading.planner.search",
    "loading.planner.packing.search",
    "loading.planner.pulls",
    "jobs.scheduling.floor.solving",
)


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


def main() -> None:
    """Compile every kernel, each package in a process of its own."""
    use_kernel_cache()
    # Not forked: Numba's threads and locks do not outlive a fork.
    with ProcessPoolExecutor(len(WARMED), multiprocessing.get_context("spawn")) as processes:
        list(processes.map(_warm, WARMED))


def _warm(package: str) -> None:
    importlib.import_module(package).warm()


if __name__ == "__main__":
    main()
