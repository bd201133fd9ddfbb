"""Retrieval against proved optima: `python -m tests.benchmarks.pulls [--every N] [--targets]`.

For each class of instances: how many answers are optimal, how many proved, the mean gap, the mean
and the longest time. Every answer is replayed; one fault ends the run. The branch is generated: 40
lanes six deep and three high, 600 vaults, twelve of them wanted in any order.

Times are this process's processor time, which on a quiet core is the wall time, so that a busy
machine changes no result. A full run writes its part of results.md. With `--targets` the exit
status is 1 if a target is missed. With `--own` the yards are made-up ones of the same classes, and
branches of other seeds; what is best there a run of twenty seconds has to prove.
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
from loading.planner.pulls.search import Relocation, solve, warm
from loading.planner.pulls.stacks import Stacks, with_pulls
from loading.planner.stopping import Seconds
from tests.benchmarks import _yards
from tests.benchmarks._results import replace_part

TITLE = "Vaults out of lanes"
DATA = Path(__file__).parents[1] / "data" / "pulls"
BRANCH_YARDS = 20
PROVED_WITHIN_S = 20.0
BRANCH = "a branch of 600 vaults"
LARGE = ("5-6", "5-7", "5-8", "6-6")
LARGE_TOGETHER = {"restricted": "cvs 5-6 to 6-6 together", "unrestricted": "cvs 5-x, 6-6 together"}
INTRODUCTION = (
    "Every instance of tests/data/pulls, one core, processor time. Optimal: as few moves as the "
    "proved optimum (for the branch: as the bound proved in the run). Gap: mean over the class. "
    "Target: all optimal, or a mean gap."
)


@dataclass(frozen=True, slots=True)
class Case:
    """`best` is the proved optimum, None where the run itself must prove it."""

    group: str
    stacks: Stacks
    restricted: bool
    budget_s: float
    best: int | None


@dataclass(frozen=True, slots=True)
class Target:
    """What a class must reach: its mean gap to the best in %, and proofs within the budget."""

    gap: float
    proved: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    moves: int
    best: int
    proved: bool
    took_s: float


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="take each N-th instance only")
    parser.add_argument("--own", action="store_true", help="made-up yards, other seeds")
    parser.add_argument("--targets", action="store_true", help="fail if a target is missed")
    args = parser.parse_args(argv)
    warm()
    outcomes: dict[str, list[Outcome]] = {}
    budgets: dict[str, float] = {}
    for case in own_cases(args.every) if args.own else cases(args.every):
        outcome = measured(case)
        for group in groups_of(case):
            outcomes.setdefault(group, []).append(outcome)
            budgets[group] = case.budget_s
    table = [
        "| class | budget s | cases | optimal | proved | gap % | mean ms | longest ms | target |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    table += [row(group, budgets[group], found) for group, found in outcomes.items()]
    missed = [group for group, found in outcomes.items() if not reached(group, found)]
    said = "\n".join(table)
    sys.stdout.write(said + "\n")
    if args.every == 1 and not args.own:
        replace_part(TITLE, f"{INTRODUCTION}\n\n{said}")
    return 1 if args.targets and missed else 0


def cases(every: int) -> Iterator[Case]:
    for restricted, key in ((True, "opt_r"), (False, "opt_u")):
        for name in ("brp_cvs", "brp_firmino4", "brp_wh3", "brp_partial"):
            lines = (DATA / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
            for number, line in enumerate(lines, 1):
                document = json.loads(line)
                if number % every == 0 and key in document:
                    group = group_of(name, document["id"], restricted)
                    stacks = parse_instance(line, number).stacks
                    budget_s = budget_of(group)
                    yield Case(group, stacks, restricted, budget_s, document[key])
    for seed in range(0, BRANCH_YARDS, every):
        yield Case(BRANCH, branch(seed), False, 1.0, None)


def own_cases(every: int) -> Iterator[Case]:
    for restricted in (True, False):
        for number, (name, stacks) in enumerate(_yards.yards(), 1):
            if number % every == 0:
                group = f"{'restricted' if restricted else 'unrestricted'} {name}"
                yield Case(group, stacks, restricted, budget_of(group), None)
    for seed in range(BRANCH_YARDS, 2 * BRANCH_YARDS, every):
        yield Case(BRANCH, branch(seed), False, 1.0, None)


def budget_of(group: str) -> float:
    """Seconds for each instance of a class."""
    if group.endswith(" partial"):
        return 0.02
    if group.startswith("restricted"):
        return 0.25 if group.endswith(LARGE) else 0.2
    return 1.0


def groups_of(case: Case) -> tuple[str, ...]:
    """Its class; and for the large classes all of them together, which have one target."""
    kind = case.group.split()[0]
    if case.group.startswith("restricted cvs") and case.group.endswith(LARGE):
        return case.group, f"{kind} {LARGE_TOGETHER[kind]}"
    if case.group.startswith(("unrestricted cvs-5", "unrestricted cvs-6")):
        return case.group, f"{kind} {LARGE_TOGETHER[kind]}"
    return (case.group,)


def target_of(group: str) -> Target | None:
    """None for a class that is judged together with others."""
    if group == BRANCH:
        return Target(0.0, proved=True)
    kind, _, name = group.partition(" ")
    if name == LARGE_TOGETHER[kind]:
        return Target(0.3 if kind == "restricted" else 1.0)
    if kind == "restricted" and name.startswith("cvs") and name.endswith(LARGE):
        return None
    if kind == "unrestricted" and name.startswith(("cvs-5", "cvs-6")):
        return None
    return Target(0.0)


def reached(group: str, found: list[Outcome]) -> bool:
    target = target_of(group)
    if target is None:
        return True
    return gap_of(found) <= target.gap and (not target.proved or all(one.proved for one in found))


def gap_of(found: list[Outcome]) -> float:
    """Mean of the moves above the best, in %."""
    return 100 * (sum(one.moves / max(1, one.best) for one in found) / len(found) - 1)


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
    began = time.process_time()
    stop = Seconds(case.budget_s, time.process_time)
    found = solve(case.stacks, restricted=case.restricted, stop=stop)
    took_s = time.process_time() - began
    if found.moves is None:
        raise SystemExit(f"{case.group}: no way found")
    moves = with_pulls(case.stacks, found.moves)
    judged = replay(case.stacks, moves, restricted=case.restricted)
    best = _best(case, judged.moves, found) if case.best is None else case.best
    if judged.faults or judged.moves < best or found.bound > best:
        raise SystemExit(f"{case.group}: {judged.faults or 'better than the optimum'}")
    return Outcome(judged.moves, best, found.proved, took_s)


def _best(case: Case, moves: int, found: Relocation) -> int:
    """The fewest moves that a longer run finds, or else its bound; proved on most yards."""
    if found.proved or case.group == BRANCH:
        return found.bound
    stop = Seconds(PROVED_WITHIN_S, time.process_time)
    longer = solve(case.stacks, restricted=case.restricted, stop=stop)
    return min(moves, longer.bound)


def row(group: str, budget_s: float, found: list[Outcome]) -> str:
    optimal = sum(one.moves == one.best for one in found)
    proved = sum(one.proved for one in found)
    mean_ms = 1000 * sum(one.took_s for one in found) / len(found)
    longest_ms = 1000 * max(one.took_s for one in found)
    target = target_of(group)
    said = "with others"
    if target is not None:
        wanted = "proved" if target.proved else f"+{target.gap} %" if target.gap else "all optimal"
        said = f"{wanted}: {'reached' if reached(group, found) else 'missed'}"
    return (
        f"| {group} | {budget_s} | {len(found)} | {optimal} | {proved} | {gap_of(found):.2f} "
        f"| {mean_ms:.1f} | {longest_ms:.1f} | {said} |"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
