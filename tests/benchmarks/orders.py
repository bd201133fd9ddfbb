"""The order of the pulls chosen for the load too: `python -m tests.benchmarks.orders [FILE …]`.

Each load with its order left open: planned with the order in which moves alone are fewest, and with
the search over orders, one worker, as many tiers built and the same seed, so that a busy machine
changes nothing. Both plans are judged by the checker. With `--targets` the exit status is 1 if on
any load fewer pieces go along or space use is lower, or if more than two moves more are made. A run
of all loads writes its part of results.md.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

from loading.planner.kernel_cache import use_kernel_cache

use_kernel_cache()

from loading.planner.checker import check_plan  # noqa: E402 - after the kernels' place is set
from loading.planner.ordering import plan_with_orders, with_fewest_moves  # noqa: E402
from loading.planner.plan import LoadPlan  # noqa: E402
from loading.planner.request import LoadRequest, parse_request  # noqa: E402
from loading.planner.search import plan_load, warm  # noqa: E402
from loading.planner.stopping import Iterations  # noqa: E402
from tests.benchmarks._results import replace_part  # noqa: E402

TITLE = "Orders of pulls"
DATA = Path(__file__).parents[1] / "data" / "loads"
MOVES_MORE = 2


@dataclass(frozen=True, slots=True)
class Judged:
    """What the checker says of a plan."""

    loaded: int
    space_use: float
    moves: int

    def reaches(self, other: Judged) -> bool:
        """As many pieces, no lower space use where they are as many, few moves more."""
        worth = (self.loaded, self.space_use) >= (other.loaded, other.space_use)
        return worth and self.moves <= other.moves + MOVES_MORE


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path, default=sorted(DATA.glob("*.json")))
    parser.add_argument("--tiers", type=int, default=48, help="tiers built for each piece")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--targets", action="store_true", help="fail if a target is missed")
    args = parser.parse_args(argv)
    warm()
    table = [
        "| load | pieces | fewest moves: loaded | space use | moves "
        "| search: loaded | space use | moves | s | |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    missed = 0
    for path in args.files:
        request = replace(parse_request(json.loads(path.read_text())), pull_order=None)
        began = time.process_time()
        fewest, searched = compared(request, args.seed, args.tiers)
        took_s = time.process_time() - began
        reached = searched.reaches(fewest)
        missed += not reached
        said = "" if reached else "missed"
        table.append(row(path.stem, request, fewest, searched, took_s, said))
        sys.stderr.write(table[-1] + "\n")
    said = "\n".join(table)
    sys.stdout.write(said + "\n")
    if args.files == parser.get_default("files"):
        introduction = (
            f"Each load with its order open, {args.tiers} tiers built for each piece, seed "
            f"{args.seed}: the order of fewest moves, and the search over orders. Target: no worse "
            f"on any load, at most {MOVES_MORE} moves more. Processor seconds of both together."
        )
        replace_part(TITLE, f"{introduction}\n\n{said}")
    return 1 if args.targets and missed else 0


def compared(request: LoadRequest, seed: int, tiers: int) -> tuple[Judged, Judged]:
    stop = Iterations(tiers * sum(item.leaves for item in request.items))
    forced = with_fewest_moves(request, seed=seed)
    fewest = plan_load(forced, seed=seed, stop=stop)
    searched = plan_with_orders(plan_load, request, seed=seed, stop=stop)
    return judged(request, fewest), judged(request, searched)


def judged(request: LoadRequest, plan: LoadPlan) -> Judged:
    report = check_plan(request, plan)
    if report.broken:
        raise SystemExit(f"{request.name}: {report.broken[0].message}")
    figures = report.figures
    loaded, moves, use = figures["loaded"], figures["moves"], figures["space_use"]
    assert isinstance(loaded, int)
    assert isinstance(moves, int)
    assert isinstance(use, float)
    return Judged(loaded, use, moves)


def row(
    name: str, request: LoadRequest, fewest: Judged, searched: Judged, took_s: float, said: str
) -> str:
    pieces = sum(item.leaves for item in request.items)
    cells = (f"{one.loaded} | {one.space_use:.4f} | {one.moves}" for one in (fewest, searched))
    return f"| {name} | {pieces} | {' | '.join(cells)} | {took_s:.0f} | {said} |"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
