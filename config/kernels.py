"""Compiling every kernel ahead of the first plan: `python -m config.kernels`."""

import importlib
import multiprocessing
from concurrent.futures import ProcessPoolExecutor

WARMED = (
    "loading.planner.search",
    "loading.planner.packing.search",
    "loading.planner.pulls",
    "jobs.scheduling.floor.solving",
)


def main() -> None:
    """Compile each package in a process of its own; `config` says where to."""
    # Not forked: Numba's threads and locks do not outlive a fork.
    with ProcessPoolExecutor(len(WARMED), multiprocessing.get_context("spawn")) as processes:
        list(processes.map(_warm, WARMED))


def _warm(package: str) -> None:
    importlib.import_module(package).warm()


if __name__ == "__main__":
    main()
