"""Whole loads, planned as people plan them: `python -m tests.benchmarks.loads [FILE …]`.

Each load is planned by the command line within 10 s and within 60 s of wall time, and judged by the
checker; a broken rule ends the run. Then, with the kernels loaded: how long the first whole plan
takes, and a replan after 60 % of the pieces are loaded. Where pieces are left off, the smallest
relaxation of dock or order that takes them all along is looked for. Results are kept for each load
in .run/bench/loads under a hash of the kernels' sources, so that a run that was stopped goes on
where it was. The tables of a run of all loads replace the part "Whole loads" of
tests/benchmarks/results.md.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from statistics import fmean

from loading.planner.kernel_cache import kernel_cache_name, use_kernel_cache

use_kernel_cache()

from loading.planner.checker import check_plan  # noqa: E402 - after the kernels' place is set
from loading.planner.plan import LoadPlan, parse_plan  # noqa: E402
from loading.planner.request import LoadRequest, parse_request  # noqa: E402
from loading.planner.search import plan_load, warm  # noqa: E402
from loading.planner.stopping import Seconds  # noqa: E402
from tests.benchmarks._results import replace_part  # noqa: E402
from tests.benchmarks.replans import done_so_far  # noqa: E402

TITLE = "Whole loads"
CHECKOUT = Path(__file__).parents[2]
DATA = CHECKOUT / "tests" / "data" / "loads"
KEPT = CHECKOUT / ".run" / "bench" / "loads"
BEGUN_PERCENT = 60
REPLAN_S = 1.65  # as in the replans of a job: the plan is there, judged, in 2 s
LARGE = 240  # pieces: loads whose first plan and replan are held against the targets
FLOOR_STEPS_MM2 = (3_000_000, 6_000_000, 12_000_000)
TARGETS = """\
| target | at least |
| --- | --- |
| broken rules; left off | 0; 0 where the goods fill at most .58 of the truck, else 1 % |
| mean space use, 10 s / 60 s | .60 / .64 |
| side / nose travel, 95th percentile | 80 / 40 mm |
| pads per 100 pieces | 35 |
| tier depth, median by volume; tiers deeper than 1.6 m | 1,100 mm; one in five |
| first whole plan, 250 pieces | 3 s |
| replan after 60 %, 250 pieces | valid in 2 s |
| memory of a planning process | 600 MB |
"""


@dataclass(frozen=True, slots=True)
class Planned:
    """What the checker says of a plan; `memory_mb` is the most its process held."""

    pieces: int
    left_off: int
    space_use: float
    side_mm: int
    nose_mm: int
    pads: int
    tiers: int
    depth_mm: int
    deep: float
    moves: int
    memory_mb: int


@dataclass(frozen=True, slots=True)
class Warm:
    """Wall seconds with the kernels loaded, and what the plans made in them leave off."""

    first_s: float
    first_left: int
    replan_s: float
    replan_left: int


@dataclass(frozen=True, slots=True)
class Row:
    """One load: `full` is the share of the truck that its goods fill; `relaxed` what would do."""

    name: str
    pieces: int
    full: float
    planned: dict[str, Planned]
    warm: Warm
    relaxed: str


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path, default=sorted(DATA.glob("*.json")))
    parser.add_argument("--budgets", nargs="+", type=float, default=[10.0, 60.0], metavar="SECONDS")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args(argv)
    warm()
    rows = [row_of(path, args.budgets, args.seed) for path in args.files]
    load = os.getloadavg()[2]
    text = "\n".join(
        [
            f"`python -m tests.benchmarks.loads`: `python -m loading.planner plan … --seed "
            f"{args.seed} --workers 2`, wall time; load of the machine at the end: {load:.1f} on "
            f"{os.cpu_count()} cores. Every plan was judged by the checker: no rule is broken.",
            "",
            *table(rows, args.budgets),
            "",
            *times(rows),
            "",
            TARGETS,
        ]
    )
    sys.stdout.write(text + "\n")
    if args.files == parser.get_default("files"):
        replace_part(TITLE, text)
    return 0


def row_of(path: Path, budgets: list[float], seed: int) -> Row:
    """All that is measured of one load; what is on file is not measured again."""
    request = parse_request(json.loads(path.read_text(encoding="utf-8")))
    kept = KEPT / kernel_cache_name() / f"{path.stem}-{seed}"
    kept.mkdir(parents=True, exist_ok=True)
    planned = {}
    for budget in budgets:
        key, file = f"{budget:g}", kept / f"{budget:g}.json"
        if not file.exists():
            file.write_text(json.dumps(asdict(planned_in(path, request, budget, seed))))
        planned[key] = Planned(**json.loads(file.read_text()))
        sys.stderr.write(f"{path.stem}, {key} s: {planned[key]}\n")
    file = kept / "warm.json"
    if not file.exists():
        file.write_text(json.dumps(asdict(warm_times(request, seed))))
    fastest = f"{budgets[0]:g}"
    return Row(
        name=path.stem,
        pieces=sum(item.leaves for item in request.items),
        full=fullness(request),
        planned=planned,
        warm=Warm(**json.loads(file.read_text())),
        relaxed=relaxation(request, budgets[0], seed) if planned[fastest].left_off else "",
    )


def planned_in(path: Path, request: LoadRequest, budget_s: float, seed: int) -> Planned:
    output = KEPT / f"{path.stem}-{seed}-{budget_s:g}.plan.json"
    command = [sys.executable, "-m", "loading.planner", "plan", str(path.resolve())]
    options = {"--output": output, "--seconds": budget_s, "--workers": 2, "--seed": seed}
    for name, value in options.items():
        command += [name, str(value)]
    with subprocess.Popen(command, cwd=CHECKOUT, stdout=subprocess.DEVNULL) as process:
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        raise SystemExit(f"{path.stem}: exit status {process.returncode}")
    plan = parse_plan(json.loads(output.read_text(encoding="utf-8")))
    return figures_of(request, plan, usage.ru_maxrss // 1024)


def figures_of(request: LoadRequest, plan: LoadPlan, memory_mb: int) -> Planned:
    report = check_plan(request, plan)
    if report.broken:
        raise SystemExit(f"{request.name}: {report.broken[0].rule} {report.broken[0].message}")
    figures = json.loads(json.dumps(report.figures))
    return Planned(
        pieces=figures["loaded"],
        left_off=figures["left_off"],
        space_use=figures["space_use"],
        side_mm=figures["side_travel"][0],
        nose_mm=figures["nose_travel"][0],
        pads=figures["pads"],
        tiers=figures["tiers"],
        depth_mm=figures["tier_depth_mm"],
        deep=figures["deep_tiers"],
        moves=figures["moves"],
        memory_mb=memory_mb,
    )


def warm_times(request: LoadRequest, seed: int) -> Warm:
    """The first whole plan, and one made when 60 % of its pieces are loaded."""
    began = time.perf_counter()
    first = plan_load(request, seed=seed, stop=Seconds(0.0, time.monotonic), workers=2)
    first_s = time.perf_counter() - began
    again = done_so_far(request, first, BEGUN_PERCENT)
    began = time.perf_counter()
    stop = Seconds(REPLAN_S, time.monotonic)
    second = plan_load(again, seed=seed, stop=stop, workers=2, former=first)
    replan_s = time.perf_counter() - began
    for asked, plan in ((request, first), (again, second)):
        figures_of(asked, plan, 0)
    return Warm(first_s, len(first.left_off), replan_s, len(second.left_off))


def fullness(request: LoadRequest) -> float:
    """The share of the truck that its goods, as loaded, fill."""
    goods = 0
    for item in request.items:
        if item.leaves:
            x, y, z = request.as_loaded_mm(item)
            goods += x * y * z
    x, y, z = request.truck.interior_mm
    return goods / (x * y * z)


def relaxation(request: LoadRequest, budget_s: float, seed: int) -> str:
    """The first of ever greater relaxations under which everything goes along."""
    for change, relaxed in relaxations(request):
        stop = Seconds(budget_s, time.monotonic)
        plan = plan_load(relaxed, seed=seed, stop=stop, workers=2)
        figures_of(relaxed, plan, 0)
        if not plan.left_off:
            return f"all go along with {change}"
    return "none of floor, spots and order takes them all along: the truck is too full"


def relaxations(request: LoadRequest) -> Iterator[tuple[str, LoadRequest]]:
    dock = request.dock
    if request.pull_order is not None:
        yield "any order of the pulls", replace(request, pull_order=None)
    for more in FLOOR_STEPS_MM2:
        larger = replace(dock, floor_mm2=dock.floor_mm2 + more)
        yield f"{more // 1_000_000} m² more floor", replace(request, dock=larger)
    spot = replace(dock, vault_spots=dock.vault_spots + 1)
    yield "one more vault spot", replace(request, dock=spot)
    both = replace(spot, floor_mm2=dock.floor_mm2 + FLOOR_STEPS_MM2[-1])
    yield (
        "one more vault spot, 12 m² more floor and any order",
        replace(request, dock=both, pull_order=None),
    )


def table(rows: list[Row], budgets: list[float]) -> Iterator[str]:
    yield (
        "| load | pieces | goods fill | s | left off | space use | side / nose travel mm | pads "
        "per 100 | tiers | depth mm | deep | moves | MB |"
    )
    yield "| --- " * 13 + "|"
    for row in rows:
        for key, p in row.planned.items():
            pads = 100 * p.pads / p.pieces
            yield (
                f"| {row.name} | {row.pieces} | {row.full:.2f} | {key} | {p.left_off} "
                f"| {p.space_use:.3f} | {p.side_mm} / {p.nose_mm} | {pads:.0f} | {p.tiers} "
                f"| {p.depth_mm} | {p.deep:.2f} | {p.moves} | {p.memory_mb} |"
            )
    yield ""
    for key in (f"{budget:g}" for budget in budgets):
        of = [row.planned[key] for row in rows]
        pads = 100 * sum(p.pads for p in of) / sum(p.pieces for p in of)
        yield (
            f"Mean within {key} s: space use {fmean(p.space_use for p in of):.3f}, pads per 100 "
            f"pieces {pads:.0f}, depth {fmean(p.depth_mm for p in of):.0f} mm, deep "
            f"{fmean(p.deep for p in of):.2f}; most travel (95th percentile) "
            f"{max(p.side_mm for p in of)} / {max(p.nose_mm for p in of)} mm; left off "
            f"{sum(p.left_off for p in of)} of {sum(row.pieces for row in rows)}."
        )
        yield ""
    yield from (f"{row.name}: {row.relaxed}." for row in rows if row.relaxed)


def times(rows: list[Row]) -> Iterator[str]:
    yield "| load | pieces | first plan s | left off | replan after 60 % s | left off |"
    yield "| --- | --- | --- | --- | --- | --- |"
    for row in rows:
        w = row.warm
        yield (
            f"| {row.name} | {row.pieces} | {w.first_s:.2f} | {w.first_left} | {w.replan_s:.2f} "
            f"| {w.replan_left} |"
        )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
