"""Container loading against published figures: `python -m tests.benchmarks.packing`.

Packs instances of the sets BR0-BR15 (tests/data/packing) with and without full support, each for
some processor seconds of one core, and a general-purpose library of the registry (py3dbp) on the
same instances. Every packing is judged by loading/planner/packing/checker.py; one fault ends the
run. Results are kept for each instance in .run/bench/packing under a hash of the engine's sources,
so that a run that was stopped goes on where it was. `--instances 1-8`, the default, is the short
mode. The tables replace the part "Container loading" of tests/benchmarks/results.md.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean

import py3dbp

import loading.planner.packing
from loading.planner.packing.checker import broken_rules
from loading.planner.packing.command import number_range, read_instances
from loading.planner.packing.problem import Instance
from loading.planner.packing.search import pack, warm
from loading.planner.stopping import Seconds
from tests.benchmarks._results import replace_part

CHECKOUT = Path(__file__).parents[2]
DATA = CHECKOUT / "tests" / "data" / "packing"
KEPT = CHECKOUT / ".run" / "bench" / "packing"
GROUPS = {"BR0": range(1), "BR1-7": range(1, 8), "BR8-15": range(8, 16)}
Rows = list[list[int]]  # type index, x, y, z, dx, dy, dz

# Mean use of the container in %; "from memory" means recalled from the published tables.
PUBLISHED = """\
| full support | time an instance | BR1-7 | BR8-15 | source |
| --- | --- | --- | --- | --- |
| BSG, Araya and Riff 2014 | 500 s | 94.7 | 91.2 | from memory |
| ID-GLTS, Zhu and Lim 2012 | 500 s | 94.51 | 90.56 | from memory |
| BRKGA, Goncalves and Resende 2012 | 150 s | 94.53 | 90.23 | from memory |
| CLTRS, Fanslau and Bortfeldt 2010 | 320 s | 94.22 | 89.88 | from memory |

| no support | time an instance | BR1-7 | BR8-15 | source |
| --- | --- | --- | --- | --- |
| best known, instances 1-50 | long | 96.52 | 95.69 | best_known_no_support.csv |
| BSG, Araya and Riff 2014 | 500 s | 96.10 | 94.78 | from memory |
| ID-GLTS, Zhu and Lim 2012 | 500 s | 95.90 | 94.17 | from memory |
"""


@dataclass(frozen=True, slots=True)
class Solver:
    """`key` names the directory its results are kept in."""

    name: str
    key: str
    full_support: bool
    place: Callable[[Instance], Rows]


@dataclass(frozen=True, slots=True)
class Outcome:
    share: float
    took_s: float


def main(argv: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.packing", description=__doc__)
    parser.add_argument("--sets", default="0-15", metavar="0-15", help="numbers of the BR sets")
    parser.add_argument("--instances", default="1-8", metavar="1-50")
    parser.add_argument("--seconds", type=float, default=10.0, help="processor seconds each")
    args = parser.parse_args(argv)
    sets, numbers = number_range(args.sets), number_range(args.instances)
    warm()
    lines = [
        f"Sets BR{sets[0]}-BR{sets[-1]}, instances {args.instances}, one core; mean use of the "
        "container in %. Gap: to the best known without support, on the same instances.",
        "",
        "| solver | processor s | " + " | ".join([*GROUPS, "gap BR1-7", "gap BR8-15"]) + " |",
        "| --- " * (len(GROUPS) + 4) + "|",
    ]
    details = []
    for solver in solvers(args.seconds):
        outcomes = {s: dict(outcomes_of(solver, s, numbers)) for s in sets}
        lines.append(summary(solver, outcomes))
        details.append(f"{solver.name}: " + ", ".join(set_means(outcomes)) + ".")
    text = "\n".join([*lines, "", *details, "", "Published:", "", PUBLISHED])
    replace_part("Container loading", text)
    sys.stdout.write(text + "\n")
    return 0


def solvers(seconds: float) -> Iterator[Solver]:
    def ours(full_support: bool) -> Callable[[Instance], Rows]:
        def place(instance: Instance) -> Rows:
            stop = Seconds(seconds, time.thread_time)
            solution = pack(instance, full_support=full_support, seed=1, stop=stop)
            return [list(box) for box in solution.boxes]

        return place

    engine = engine_hash()
    for support, full in (("full", True), ("none", False)):
        key = f"{engine}-{support}-{seconds:g}"
        yield Solver(f"Tierwright, support: {support}", key, full, ours(full))
    yield Solver("py3dbp 1.1.2, support: none", "py3dbp-1.1.2", False, placed_by_py3dbp)


def engine_hash() -> str:
    digest = hashlib.sha256()
    for path in sorted(Path(loading.planner.packing.__path__[0]).glob("*.py")):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:12]


def outcomes_of(solver: Solver, number: int, numbers: range) -> Iterator[tuple[int, Outcome]]:
    for instance in read_instances(DATA / f"BR{number}.jsonl.gz"):
        if instance.number in numbers:
            yield instance.number, kept_outcome(solver, instance)


def kept_outcome(solver: Solver, instance: Instance) -> Outcome:
    """The outcome on file, or measured now and put there."""
    path = KEPT / solver.key / f"{instance.set_name}-{instance.number}.json"
    if path.exists():
        return Outcome(**json.loads(path.read_text()))
    began = time.thread_time()
    rows = solver.place(instance)
    took_s = time.thread_time() - began
    if faults := broken_rules(instance, rows, full_support=solver.full_support):
        raise SystemExit(f"{solver.name}, {instance.set_name} {instance.number}: {faults}")
    share = sum(dx * dy * dz for *_, dx, dy, dz in rows) / instance.volume
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps({"share": share, "took_s": took_s}))
    sys.stderr.write(f"{solver.name}, {instance.set_name} {instance.number}: {100 * share:.2f} %\n")
    return Outcome(share, took_s)


class _Turned(py3dbp.Item):  # type: ignore[misc]
    """An item of py3dbp that fits nowhere when an edge stands upright that may not."""

    def __init__(self, kind: int, size: Sequence[int], upright: Sequence[bool]) -> None:
        super().__init__(str(kind), *size, 0)
        self.upright = upright

    def get_dimension(self) -> list[float]:
        sizes = [self.width, self.height, self.depth]
        order = ((0, 1, 2), (1, 0, 2), (1, 2, 0), (2, 1, 0), (2, 0, 1), (0, 2, 1))
        turn = order[self.rotation_type]
        if not self.upright[turn[2]]:
            return [1_000_000] * 3
        return [sizes[k] for k in turn]


def placed_by_py3dbp(instance: Instance) -> Rows:
    packer = py3dbp.Packer()
    packer.add_bin(py3dbp.Bin("container", *instance.container, 1))
    for kind, box in enumerate(instance.boxes):
        for _ in range(box.count):
            packer.add_item(_Turned(kind, box.size, box.upright))
    packer.pack(bigger_first=True, number_of_decimals=0)
    return [
        [int(item.name), *map(int, item.position), *map(int, item.get_dimension())]
        for item in packer.bins[0].items
    ]


def summary(solver: Solver, outcomes: dict[int, dict[int, Outcome]]) -> str:
    took = [outcome.took_s for found in outcomes.values() for outcome in found.values()]
    best = best_known()
    cells, gaps = [], []
    for name, group in GROUPS.items():
        ran = [(s, n, o) for s in group if s in outcomes for n, o in outcomes[s].items()]
        cells.append(f"{fmean(100 * o.share for _, _, o in ran):.2f}" if ran else "-")
        if name != "BR0":
            gap = [best[f"BR{s}", n] - 100 * o.share for s, n, o in ran]
            gaps.append(f"{fmean(gap):.2f}" if gap else "-")
    return f"| {solver.name} | {fmean(took):.1f} | " + " | ".join([*cells, *gaps]) + " |"


def set_means(outcomes: dict[int, dict[int, Outcome]]) -> Iterator[str]:
    for number, found in outcomes.items():
        yield f"BR{number} {fmean(100 * o.share for o in found.values()):.2f}"


def best_known() -> dict[tuple[str, int], float]:
    with (DATA / "best_known_no_support.csv").open() as lines:
        return {
            (row["set"], int(row["instance"])): float(row["util_pct"])
            for row in csv.DictReader(lines)
        }


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
