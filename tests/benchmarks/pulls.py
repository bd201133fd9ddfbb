"""Retrieval against proved optima: `python -m tests.benchmarks.pulls [--every N]`.

For each class of instances: how many answers are optimal, how many proved, the mean gap, the mean
and the longest wall time. Every answer is replayed; one fault ends the run. The branch is
generated: 40 lanes six deep and three high, 600 vaults, twelve of them wanted in any order.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from loading.planner.pulls.instances import parse_instance
from loading.planner.pulls.replay import replay
from loading.planner.pulls.search import solve, warm
from loading.planner.pulls.stacks import Stacks, with_pulls
from loading.planner.stopping import Seconds

DATA = Path(__file__).parents[1] / "data" / "pulls"
BRANCH_YARDS = 20


@dataclass(frozen=True, slots=True)
class Case:
    """`best` is the proved optimum, None where the run itself must prove it."""

    group: str
    stacks: Stacks
    restricted: bool
    budget_s: float
    best: int | None


@dataclass(frozen=True, slots=True)
class Outcome:
    moves: int
    best: int
    proved: bool
    took_s: float


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="take each N-th instance only")
    every = parser.parse_args(argv).every
    warm()
    outcomes: dict[str, list[Outcome]] = {}
    for case in cases(every):
        outcomes.setdefault(case.group, []).append(measured(case))
    sys.stdout.write("| class | cases | optimal | proved | gap % | mean ms | longest ms |\n")
    sys.stdout.write("| --- | --- | --- | --- | --- | --- | --- |\n")
    for group, found in outcomes.items():
        sys.stdout.write(row(group, found) + "\n")
    return 0


def cases(every: int) -> Iterator[Case]:
    for restricted, key in ((True, "opt_r"), (False, "opt_u")):
        for name in ("brp_cvs", "brp_firmino4", "brp_wh3", "brp_partial"):
            lines = (DATA / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
            for number, line in enumerate(lines, 1):
                document = json.loads(line)
                if number % every == 0 and key in document:
                    group = group_of(name, document["id"], restricted)
                    stacks = parse_instance(line, number).stacks
                    budget_s = 0.25 if restricted else 1.0
                    yield Case(group, stacks, restricted, budget_s, document[key])
    for seed in range(0, BRANCH_YARDS, every):
        yield Case("a branch of 600 vaults", branch(seed), False, 1.0, None)


def group_of(file: str, name: str, restricted: bool) -> str:
    kind = "restricted" if restricted else "unrestricted"
    part = name.rpartition("-")[0] if file == "brp_cvs" else file.removeprefix("brp_")
    return f"{kind} {part}"


def branch(seed: int) -> Stacks:
    """40 lanes of 18 slots, 600 vaults in them, twelve leave in any order."""
    rng = random.Random(seed)
    lanes = rng.sample([lane for lane in range(40) for _ in range(18)], 600)
    wanted = set(rng.sample(range(600), 12))
    ranks: list[list[int]] = [[] for _ in range(40)]
    for vault, lane in enumerate(lanes):
        ranks[lane].append(0 if vault in wanted else 1)
    return Stacks.of_full(ranks, [18] * 40)


def measured(case: Case) -> Outcome:
    began = time.perf_counter()
    stop = Seconds(case.budget_s, time.perf_counter)
    found = solve(case.stacks, restricted=case.restricted, stop=stop)
    took_s = time.perf_counter() - began
    if found.moves is None:
        raise SystemExit(f"{case.group}: no way found")
    moves = with_pulls(case.stacks, found.moves)
    judged = replay(case.stacks, moves, restricted=case.restricted)
    best = found.bound if case.best is None else case.best
    if judged.faults or judged.moves < best or found.bound > best:
        raise SystemExit(f"{case.group}: {judged.faults or 'better than the optimum'}")
    return Outcome(judged.moves, best, found.proved, took_s)


def row(group: str, found: list[Outcome]) -> str:
    optimal = sum(one.moves == one.best for one in found)
    proved = sum(one.proved for one in found)
    gap = 100 * (sum(one.moves / max(1, one.best) for one in found) / len(found) - 1)
    mean_ms = 1000 * sum(one.took_s for one in found) / len(found)
    longest_ms = 1000 * max(one.took_s for one in found)
    return (
        f"| {group} | {len(found)} | {optimal} | {proved} | {gap:.2f} "
        f"| {mean_ms:.1f} | {longest_ms:.1f} |"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
