"""Container loading against published figures: `python -m tests.benchmarks.packing`.

Packs instances of the sets BR0-BR15 (tests/data/packing) with and without full support, each for
some processor seconds of one core, and general-purpose libraries of the registry with the same
time (_packing_peers.py). Every packing is judged by loading/planner/packing/checker.py; one fault
ends the run. Results are kept for each instance in .run/bench/packing under a hash of the engine's
sources, so that a run that was stopped goes on where it was, and two runs can share the work.
`--instances 1-8`, the default, is the short mode; `--instances 1-50` is everything. The tables
replace the part "Container loading" of tests/benchmarks/results.md.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from importlib.metadata import version
from pathlib import Path
from statistics import fmean

import loading.planner.packing
from loading.planner.packing.checker import broken_rules
from loading.planner.packing.command import number_range, read_instances
from loading.planner.packing.problem import Instance
from loading.planner.packing.search import pack, warm
from loading.planner.stopping import Seconds
from tests.benchmarks._packing_peers import (
    Rows,
    placed_by_packingsolver,
    placed_by_py3dbp,
    volume_of,
)
from tests.benchmarks._results import replace_part

CHECKOUT = Path(__file__).parents[2]
DATA = CHECKOUT / "tests" / "data" / "packing"
KEPT = CHECKOUT / ".run" / "bench" / "packing"
GROUPS = {"BR0": range(1), "BR1-7": range(1, 8), "BR8-15": range(8, 16)}
EARLY_S = 0.3  # when the first answer is looked at
LEAST_EARLY = 87.0
SOLVERS = ("full", "none", "packingsolver3d", "py3dbp")

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
    """`key` names the directory its results are kept in; `place` gives rows and early shares."""

    short: str
    name: str
    key: str
    full_support: bool
    place: Callable[[Instance], tuple[Rows, float | None]]


@dataclass(frozen=True, slots=True)
class Outcome:
    """share, early: of the container, at the end and after EARLY_S; took_s: processor seconds."""

    share: float
    took_s: float
    early: float | None = None


Outcomes = dict[tuple[int, int], Outcome]  # by numbers of set and instance


def main(argv: Sequence[str]) -> int:
    args = arguments(argv)
    sets = number_range(args.sets)
    warm()
    lines = [
        f"Sets BR{sets[0]}-BR{sets[-1]} of instances {args.instances}, one core; mean use of the "
        "container in %. Gap: to the best known without support, on the same instances. In "
        "brackets: how many of a set were run, where not all.",
        "",
        "| solver | instances | processor s | "
        + " | ".join([*GROUPS, "gap BR1-7", "gap BR8-15"])
        + " |",
        "| --- " * (len(GROUPS) + 5) + "|",
    ]
    details = []
    for solver in (*our_solvers(args.seconds), *peers(args.seconds)):
        measure = not args.kept and solver.short in args.solvers
        outcomes = outcomes_of(solver, sets, number_range(args.instances), measure=measure)
        if not outcomes:
            continue
        lines.append(summary(solver.name, outcomes))
        details.append(f"{solver.name}: {set_means(outcomes)}.")
        details += early_answers(solver.name, outcomes)
    text = "\n".join([*lines, "", *details, "", "Published:", "", PUBLISHED])
    replace_part("Container loading", text)
    sys.stdout.write(text + "\n")
    return 0


def arguments(argv: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.packing", description=__doc__)
    parser.add_argument("--sets", default="0-15", metavar="0-15", help="numbers of the BR sets")
    parser.add_argument("--instances", default="1-8", metavar="1-50", help="of each set")
    parser.add_argument(
        "--solvers",
        nargs="+",
        choices=SOLVERS,
        default=SOLVERS,
        help="which are measured; of the others the table has what is on file",
    )
    parser.add_argument("--kept", action="store_true", help="measure nothing, write the table")
    parser.add_argument("--seconds", type=float, default=10.0, help="processor seconds each")
    return parser.parse_args(argv)


def our_solvers(seconds: float) -> Iterator[Solver]:
    def placing(full_support: bool) -> Callable[[Instance], tuple[Rows, float | None]]:
        def place(instance: Instance) -> tuple[Rows, float | None]:
            began = time.thread_time()
            early = 0.0

            def note(share: float) -> None:
                nonlocal early
                if time.thread_time() - began <= EARLY_S:
                    early = share

            stop = Seconds(seconds, time.thread_time)
            solution = pack(instance, full_support=full_support, seed=1, stop=stop, on_better=note)
            return [list(box) for box in solution.boxes], early

        return place

    engine = engine_hash()
    for support, full in (("full", True), ("none", False)):
        key = f"{engine}-{support}-{seconds:g}"
        yield Solver(support, f"Tierwright, support: {support}", key, full, placing(full))


def peers(seconds: float) -> Iterator[Solver]:
    for library, placed in (
        ("packingsolver3d", placed_by_packingsolver),
        ("py3dbp", placed_by_py3dbp),
    ):
        named = f"{library} {version(library)}"

        def place(
            instance: Instance, placed: Callable[[Instance, float], Rows] = placed
        ) -> tuple[Rows, None]:
            return placed(instance, seconds), None

        key = f"{named.replace(' ', '-')}-{seconds:g}"
        yield Solver(library, f"{named}, support: none", key, False, place)


def engine_hash() -> str:
    digest = hashlib.sha256()
    for path in sorted(Path(loading.planner.packing.__path__[0]).glob("*.py")):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:12]


def outcomes_of(solver: Solver, sets: range, numbers: range, *, measure: bool) -> Outcomes:
    """What is on file, and where `measure` says so what is not, measured now."""
    return {
        (number, instance.number): kept_outcome(solver, instance)
        for number in sets
        for instance in read_instances(DATA / f"BR{number}.jsonl.gz")
        if instance.number in numbers and (measure or path_of(solver, instance).exists())
    }


def path_of(solver: Solver, instance: Instance) -> Path:
    return KEPT / solver.key / f"{instance.set_name}-{instance.number}.json"


def kept_outcome(solver: Solver, instance: Instance) -> Outcome:
    """The outcome on file, or measured now and put there."""
    path = path_of(solver, instance)
    if path.exists():
        return Outcome(**json.loads(path.read_text()))
    began = time.process_time()
    rows, early = solver.place(instance)
    took_s = time.process_time() - began
    if faults := broken_rules(instance, rows, full_support=solver.full_support):
        raise SystemExit(f"{solver.name}, {instance.set_name} {instance.number}: {faults}")
    outcome = Outcome(volume_of(rows) / instance.volume, took_s, early)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(asdict(outcome)))
    sys.stderr.write(
        f"{solver.name}, {instance.set_name} {instance.number}: {100 * outcome.share:.2f} %\n"
    )
    return outcome


def summary(name: str, outcomes: Outcomes) -> str:
    best = best_known()
    took_s = fmean(outcome.took_s for outcome in outcomes.values())
    cells, gaps = [], []
    for title, group in GROUPS.items():
        ran = {key: outcome for key, outcome in outcomes.items() if key[0] in group}
        cells.append(f"{fmean(100 * o.share for o in ran.values()):.2f}" if ran else "-")
        if title != "BR0":
            gap = [best[key] - 100 * outcome.share for key, outcome in ran.items()]
            gaps.append(f"{fmean(gap):.2f}" if gap else "-")
    return f"| {name} | {len(outcomes)} | {took_s:.1f} | " + " | ".join([*cells, *gaps]) + " |"


def early_answers(name: str, outcomes: Outcomes) -> Iterator[str]:
    early = [100 * outcome.early for outcome in outcomes.values() if outcome.early is not None]
    if early:
        short = sum(share < LEAST_EARLY for share in early)
        yield (
            f"{name}, after {EARLY_S} processor seconds with the kernels loaded: mean "
            f"{fmean(early):.2f}, least {min(early):.2f}; {short} of {len(early)} instances below "
            f"{LEAST_EARLY:g} %."
        )


def set_means(outcomes: Outcomes) -> str:
    shares: dict[int, list[float]] = {}
    for (number, _), outcome in outcomes.items():
        shares.setdefault(number, []).append(100 * outcome.share)
    most = max(len(found) for found in shares.values())
    return ", ".join(
        f"BR{number} {fmean(found):.2f}" + ("" if len(found) == most else f" ({len(found)})")
        for number, found in shares.items()
    )


def best_known() -> dict[tuple[int, int], float]:
    with (DATA / "best_known_no_support.csv").open() as lines:
        return {
            (int(row["set"].removeprefix("BR")), int(row["instance"])): float(row["util_pct"])
            for row in csv.DictReader(lines)
        }


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
