"""How long "What fits here?" takes: `python -m tests.benchmarks.fitting [--pieces N]`.

A truck is filled piece by piece with the tool's own answers; then gaps all over the face are asked
about. Times are processor time, which a busy machine leaves be. First answers are judged by the
checker.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import time
from dataclasses import replace

from loading.planner.checker import check_plan
from loading.planner.fitting import Fits, Gap, Standing, gap_at, what_fits
from loading.planner.plan import LeftOff, LoadPlan, Placement, Step
from loading.planner.request import LoadRequest, Progress, parse_request
from tests.benchmarks._results import replace_part
from tests.loading.planner.scene import empty_request, item

TITLE = "What fits here?"
LOADED = (10, 25, 40)
QUESTIONS, CHECKED, MISSES = 40, 20, 16
STATIC = {"R2", "R3", "R4", "R5", "R6", "R7", "R8", "R9"}
# Sizes (mm), weight (kg), what it bears (kg), carton: a household drawn by a seed.
KINDS = (
    ((436, 324, 324), 15, 70, True),
    ((457, 457, 406), 16, 60, True),
    ((610, 457, 457), 18, 50, True),
    ((508, 508, 1220), 20, 0, True),
    ((910, 480, 1220), 45, 60, False),
    ((1980, 910, 860), 60, 40, False),
    ((1520, 250, 1980), 35, 0, False),
    ((480, 530, 910), 8, 15, False),
    ((760, 720, 1680), 95, 80, False),
    ((1220, 610, 740), 40, 80, False),
)


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=300)
    request = household(parser.parse_args(argv).pieces)
    took_ms: list[float] = []
    answers: list[Fits] = []
    for loaded in LOADED:
        done = filled(request, loaded)
        took, found = asked(request, done)
        for gap, fits in found[:CHECKED]:
            judge(request, done, gap, fits)
        took_ms += took
        answers += [fits for _, fits in found]
    text = (
        f"{len(request.items)} pieces, {', '.join(map(str, LOADED))} of them loaded, "
        f"{len(took_ms)} gaps, processor time: median {statistics.median(took_ms):.1f} ms, "
        f"95th percentile {sorted(took_ms)[int(0.95 * len(took_ms))]:.1f} ms, "
        f"longest {max(took_ms):.1f} ms; "
        f"{sum(bool(fits.may_go) for fits in answers)} gaps had a piece that may go."
    )
    sys.stdout.write(text + "\n")
    replace_part(TITLE, text)
    return 0


def household(pieces: int, seed: int = 1) -> LoadRequest:
    """Pieces of ten kinds, each a little larger or smaller, loose beside a long truck."""
    rng = random.Random(seed)
    items = []
    for n in range(pieces):
        size, weight, bears, carton = KINDS[rng.choice((0, 0, 0, 1, 1, 1, 2, 2, 3, *range(4, 10)))]
        off = rng.uniform(0.92, 1.08)
        length, width, height = (round(side * off) for side in size)
        postures = ["standing"] if carton else ["standing", "on_side", "on_end"]
        extra = {"carton": carton, "postures": postures, "wrap": not carton}
        entry = item(f"{n:03}", (length, width, height), bears_kg=bears, **extra)
        items.append({**entry, "weight_kg": weight})
    document = empty_request()
    document["truck"] |= {
        "interior_mm": [14500, 2490, 2790],
        "door_mm": [2400, 2700],
        "payload_kg": 20000,
        "supports": [
            {"name": "kingpin", "x_mm": 900, "tare_kg": 3000, "limit_kg": 20000},
            {"name": "tandem", "x_mm": 12500, "tare_kg": 4000, "limit_kg": 20000},
        ],
    }
    document["dock"] = {"vault_spots": 4, "floor_m2": 2000}
    return parse_request({**document, "items": items})


def filled(request: LoadRequest, pieces: int, seed: int = 1) -> Progress:
    """Fills the truck with first answers, from the deck up; a tier closes when none is found."""
    rng = random.Random(seed)
    _, width, height = request.truck.interior_mm
    done = Progress((), (), ())
    misses = 0
    while len(done.placements) < pieces:
        standing = Standing.of(request, done)
        gap = gap_at(standing, rng.randrange(width), height * misses // (2 * MISSES))
        fits = what_fits(request, done, gap, most=1) if gap is not None else None
        if gap is None or fits is None or not fits.may_go:
            misses += 1
            if misses < MISSES:
                continue
            if not standing.tier_boxes(standing.tier):
                break
            done = replace(done, steps=(*done.steps, Step("close", tier=standing.tier)))
            misses = 0
            continue
        done = with_first(done, gap, fits)
    return done


def with_first(done: Progress, gap: Gap, fits: Fits) -> Progress:
    fit = fits.may_go[0]
    assert fit.at_mm is not None
    assert fit.level is not None
    place = Placement(fit.tag, gap.tier, fit.level, fit.at_mm, fit.size_mm, fit.posture, gap.inside)
    steps = (*done.steps, Step("fetch", tag=fit.tag), Step("load", tag=fit.tag))
    return replace(done, steps=steps, placements=(*done.placements, place))


def asked(
    request: LoadRequest, done: Progress, seed: int = 2
) -> tuple[list[float], list[tuple[Gap, Fits]]]:
    """Processor milliseconds for each question, reading the face included."""
    rng = random.Random(seed)
    _, width, height = request.truck.interior_mm
    took: list[float] = []
    answers: list[tuple[Gap, Fits]] = []
    while len(took) < QUESTIONS:
        y_mm, z_mm = rng.randrange(width), rng.randrange(height)
        began = time.process_time()
        gap = gap_at(Standing.of(request, done), y_mm, z_mm)
        if gap is None:
            continue
        fits = what_fits(request, done, gap)
        took.append(1000 * (time.process_time() - began))
        answers.append((gap, fits))
    return took, answers


def judge(request: LoadRequest, done: Progress, gap: Gap, fits: Fits) -> None:
    """The checker finds nothing against the first piece where it would stand."""
    if not fits.may_go:
        return
    after = with_first(done, gap, fits)
    tags = {place.tag for place in after.placements}
    last = max(place.tier for place in after.placements)
    plan = LoadPlan(
        request=request.name,
        steps=(*after.steps, Step("close", tier=last)),
        placements=after.placements,
        left_off=tuple(LeftOff(i.tag, "not yet") for i in request.items if i.tag not in tags),
    )
    broken = [b for b in check_plan(request, plan).broken if b.rule in STATIC]
    if broken:
        raise SystemExit(f"{broken[0].rule}: {broken[0].message}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
