"""What a new plan keeps of the one before it: `python -m tests.benchmarks.replans [FILE …]`.

Each load is planned, taken as loaded up to 30, 60 and 90 % of its pieces, and something comes to
light (seeded): one size is wrong, ten are, a piece is missing, one is not on the list, a vault
cannot be had. The rest is planned anew and judged by the checker. Counted are the pieces that
stand in another tier than before, of those that both plans place and that are not loaded yet.
Seconds are those of two cores, measured as processor time, which a busy machine leaves be.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from loading.planner.checker import check_plan
from loading.planner.kernel_cache import use_kernel_cache
from loading.planner.plan import LoadPlan, Size, parse_plan, plan_document
from loading.planner.request import Item, LoadRequest, Progress, parse_request, request_document
from tests.benchmarks._results import replace_part
from tests.benchmarks.day import DATA, OFF_PERCENT, WORKERS, passes_door, resized

TITLE = "Replanning"
CUTS_PERCENT = (30, 60, 90)
FEW_PERCENT = 20  # of the pieces left may change tier
EVENTS = ("nothing", "one size", "ten sizes", "missing", "not listed", "vault")

Change = Callable[[LoadRequest, LoadPlan, random.Random], LoadRequest]


@dataclass(frozen=True, slots=True)
class Replan:
    """One event and what came of it; lengths in mm, times in seconds."""

    load: str
    event: str
    cut_percent: int
    waiting: int  # pieces that both plans place and that are not loaded yet
    changed: int  # those of them that stand in another tier
    left_off: int  # more than before, what the event itself took away aside
    longer_mm: int
    took_s: float  # on two cores
    faults: tuple[str, ...]

    @property
    def share_percent(self) -> float:
        return 100 * self.changed / max(1, self.waiting)

    def line(self) -> str:
        faults = "; ".join(self.faults) or "none"
        return (
            f"{self.load} {self.cut_percent} % {self.event}: {self.changed} of {self.waiting} "
            f"change tier, {self.left_off} left off, {self.longer_mm:+} mm, {self.took_s:.2f} s, "
            f"faults: {faults}\n"
        )


def main(argv: list[str]) -> int:
    use_kernel_cache()
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path, default=sorted(DATA.glob("*.json")))
    parser.add_argument("--first", type=float, default=10.0, help="seconds of a first plan")
    parser.add_argument("--seconds", type=float, default=1.65, help="seconds of each replan")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--events", nargs="+", choices=EVENTS, default=EVENTS)
    parser.add_argument("--cuts", nargs="+", type=int, default=CUTS_PERCENT)
    parser.add_argument("--plans", type=Path, help="a directory that keeps the first plans")
    parser.add_argument("--faulty", type=Path, help="a directory for requests that came out badly")
    options = parser.parse_args(argv)
    found = []
    for path in options.files:
        request = parse_request(json.loads(path.read_text(encoding="utf-8")))
        for replan in replans_of(request, options):
            found.append(replan)
            sys.stdout.write(replan.line())
            sys.stdout.flush()
    text = table(found, options)
    sys.stdout.write(text + "\n")
    replace_part(TITLE, text)
    return 0


def replans_of(request: LoadRequest, options: argparse.Namespace) -> Iterator[Replan]:
    from loading.planner.search import plan_load
    from loading.planner.stopping import Seconds

    former = first_plan(request, options)
    for cut_percent in options.cuts:
        so_far = done_so_far(request, former, cut_percent)
        for event in options.events:
            rng = random.Random(f"{options.seed} {request.name} {cut_percent} {event}")
            now = CHANGES[event](so_far, former, rng)
            began = time.process_time()
            stop = Seconds(WORKERS * options.seconds, time.process_time)
            plan = plan_load(now, seed=options.seed, stop=stop, workers=WORKERS, former=former)
            took_s = (time.process_time() - began) / WORKERS
            replan = judged(now, former, plan, event, cut_percent, took_s)
            if options.faulty and (replan.faults or replan.left_off or replan.share_percent > 20):
                name = f"{request.name}-{cut_percent}-{event.replace(' ', '-')}"
                keep(options.faulty, f"{name}.request.json", request_document(now))
                keep(options.faulty, f"{name}.former.json", plan_document(former))
                keep(options.faulty, f"{name}.plan.json", plan_document(plan))
            yield replan


def keep(directory: Path, name: str, document: dict[str, object]) -> None:
    directory.mkdir(parents=True, exist_ok=True)
    (directory / name).write_text(json.dumps(document), encoding="utf-8")


def first_plan(request: LoadRequest, options: argparse.Namespace) -> LoadPlan:
    from loading.planner.ordering import plan_with_orders
    from loading.planner.search import plan_load, warm
    from loading.planner.stopping import Seconds

    warm()
    kept = options.plans / f"{request.name}.json" if options.plans else None
    if kept is not None and kept.exists():
        return parse_plan(json.loads(kept.read_text(encoding="utf-8")))
    stop = Seconds(WORKERS * options.first, time.process_time)
    plan = plan_with_orders(plan_load, request, seed=options.seed, stop=stop, workers=WORKERS)
    if kept is not None:
        keep(options.plans, kept.name, plan_document(plan))
    return plan


def done_so_far(request: LoadRequest, plan: LoadPlan, percent: int) -> LoadRequest:
    """The request once so many of the plan's pieces are loaded, and what was done on the way."""
    loads = [k for k, step in enumerate(plan.steps) if step.do == "load"]
    count = max(1, len(loads) * percent // 100)
    steps = plan.steps[: loads[count - 1] + 1]
    aboard = {step.tag for step in steps if step.do == "load"}
    rolled = {step.fill for step in steps if step.do == "fill"}
    places = tuple(place for place in plan.placements if place.tag in aboard)
    fills = tuple(fill for fill in plan.fills if fill.fill in rolled)
    return replace(request, progress=Progress(steps, places, fills))


def waiting_tags(request: LoadRequest) -> list[str]:
    """The pieces that are not loaded yet, in the order of the list."""
    assert request.progress is not None
    aboard = {place.tag for place in request.progress.placements}
    return [item.tag for item in request.items if item.leaves and item.tag not in aboard]


def nothing(request: LoadRequest, _former: LoadPlan, _rng: random.Random) -> LoadRequest:
    return request


def sizes_wrong(count: int) -> Change:
    def change(request: LoadRequest, _former: LoadPlan, rng: random.Random) -> LoadRequest:
        tags = waiting_tags(request)
        picked = set(rng.sample(tags, min(count, len(tags))))
        items = tuple(
            other_size(request, item, rng) if item.tag in picked else item for item in request.items
        )
        return replace(request, items=items)

    return change


def other_size(request: LoadRequest, item: Item, rng: random.Random) -> Item:
    """The piece with every side off by up to 8 %; as listed if it would not pass the door."""
    found = resized(item, _sides(item, rng))
    return found if passes_door(request, found) else item


def _sides(item: Item, rng: random.Random) -> Size:
    x, y, z = (
        side * rng.randint(1000 - 10 * OFF_PERCENT, 1000 + 10 * OFF_PERCENT) // 1000
        for side in item.size_mm
    )
    return x, y, z


def missing(request: LoadRequest, _former: LoadPlan, rng: random.Random) -> LoadRequest:
    """One that has not come out of its vault yet, if there is one, is not there."""
    assert request.progress is not None
    out = {step.tag for step in request.progress.steps if step.do in ("unpack", "fetch")}
    tags = [tag for tag in waiting_tags(request) if tag not in out]
    return without(request, {rng.choice(tags)} if tags else set())


def without(request: LoadRequest, tags: set[str]) -> LoadRequest:
    vaults = tuple(
        replace(vault, items=tuple(tag for tag in vault.items if tag not in tags))
        for vault in request.vaults
    )
    items = tuple(item for item in request.items if item.tag not in tags)
    return replace(request, vaults=vaults, items=items)


def not_listed(request: LoadRequest, _former: LoadPlan, rng: random.Random) -> LoadRequest:
    """A carton that no list has stands beside the dock."""
    cartons = [item for item in request.items if item.carton] or list(request.items)
    like = rng.choice(cartons)
    new = replace(like, tag="new-1", postures=("standing",), bears_g=0, openings=(), level=None)
    return replace(request, items=(*request.items, new))


def vault_not_had(request: LoadRequest, _former: LoadPlan, rng: random.Random) -> LoadRequest:
    """One vault that was not pulled yet is not found."""
    assert request.progress is not None
    pulled = {step.vault for step in request.progress.steps if step.do == "pull"}
    vaults = [vault for vault in request.vaults if vault.code not in pulled]
    return without(request, set(rng.choice(vaults).items) if vaults else set())


CHANGES: dict[str, Change] = {
    "nothing": nothing,
    "one size": sizes_wrong(1),
    "ten sizes": sizes_wrong(10),
    "missing": missing,
    "not listed": not_listed,
    "vault": vault_not_had,
}


def judged(
    request: LoadRequest, former: LoadPlan, plan: LoadPlan, event: str, cut_percent: int,
    took_s: float,
) -> Replan:  # fmt: skip
    report = check_plan(request, plan)
    faults = [f"{fault.rule} {fault.message}" for fault in report.broken[:3]]
    waiting = set(waiting_tags(request))
    before = {place.tag: place.tier for place in former.placements if place.tag in waiting}
    now = {place.tag: place.tier for place in plan.placements}
    could_not = {left.tag for left in former.left_off}
    both = before.keys() & now.keys()
    return Replan(
        load=request.name,
        event=event,
        cut_percent=cut_percent,
        waiting=len(both),
        changed=sum(before[tag] != now[tag] for tag in both),
        left_off=len({left.tag for left in plan.left_off} - could_not),
        longer_mm=reach_mm(plan) - reach_mm(former),
        took_s=took_s,
        faults=tuple(faults),
    )


def reach_mm(plan: LoadPlan) -> int:
    return max((place.at_mm[0] + place.size_mm[0] for place in plan.placements), default=0)


def table(found: list[Replan], options: argparse.Namespace) -> str:
    loads = len({replan.load for replan in found})
    lines = [
        f"{loads} loads, each cut at {', '.join(map(str, options.cuts))} %, "
        f"{options.seconds:g} s of two cores for each replan.",
        "",
        "| event | replans | faults | left off | mean change of tier | within 20 % "
        "| longer, mean mm | median s | longest s |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for event in options.events:
        rows = [replan for replan in found if replan.event == event]
        lines.append(f"| {event} | {_cells(rows)} |")
    lines.append(f"| all | {_cells(found)} |")
    return "\n".join(lines)


def _cells(rows: list[Replan]) -> str:
    shares = [row.share_percent for row in rows]
    return (
        f"{len(rows)} | {sum(bool(row.faults) for row in rows)} "
        f"| {sum(row.left_off for row in rows)} "
        f"| {statistics.mean(shares):.1f} % | {sum(share <= FEW_PERCENT for share in shares)} "
        f"| {statistics.mean(row.longer_mm for row in rows):+.0f} "
        f"| {statistics.median(row.took_s for row in rows):.2f} "
        f"| {max(row.took_s for row in rows):.2f}"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
