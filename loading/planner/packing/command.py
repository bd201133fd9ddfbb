"""The command `pack`: container-loading instances in, one packing a line out."""

from __future__ import annotations

import argparse
import gzip
import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from loading.planner.packing.problem import Instance, InstanceError
from loading.planner.packing.search import pack, warm
from loading.planner.packing.solution import Solution
from loading.planner.stopping import Iterations, Seconds, Stop

BAD_INPUT = 2


class InstanceFileError(ValueError):
    """A file of instances that cannot be used; the message names file, line and key."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("instances", type=Path, help="one JSON object a line, .jsonl or .jsonl.gz")
    parser.add_argument("--output", type=Path, required=True, help="one JSON object a line")
    parser.add_argument("--support", choices=("full", "none"), required=True)
    parser.add_argument("--seconds", type=float, default=10.0, help="processor seconds each")
    parser.add_argument("--iterations", type=int, help="stop by rollouts instead of seconds")
    parser.add_argument("--only", "--instances", dest="only", metavar="1-8", help="which numbers")
    parser.add_argument("--seed", type=int, default=1)


def run(args: argparse.Namespace) -> int:
    try:
        chosen = number_range(args.only) if args.only else None
        instances = [
            instance
            for instance in read_instances(args.instances)
            if chosen is None or instance.number in chosen
        ]
    except InstanceFileError as error:
        sys.stderr.write(f"{error}\n")
        return BAD_INPUT
    warm()
    with args.output.open("w", encoding="utf-8") as output:
        for instance in instances:
            solution = pack(
                instance,
                full_support=args.support == "full",
                seed=args.seed,
                stop=stop_of(args.seconds, args.iterations),
            )
            output.write(solution_line(instance, solution) + "\n")
            output.flush()
            sys.stdout.write(
                f"{instance.set_name} {instance.number}: {solution.share(instance):.4f}\n"
            )
    return 0


def stop_of(seconds: float, iterations: int | None) -> Stop:
    """Processor time of this thread, so that a busy machine does not spoil a comparison."""
    if iterations is not None:
        return Iterations(iterations)
    return Seconds(seconds, time.thread_time)


def solution_line(instance: Instance, solution: Solution) -> str:
    return json.dumps(
        {
            "set": instance.set_name,
            "instance": instance.number,
            "placements": [list(box) for box in solution.boxes],
        },
        separators=(",", ":"),
    )


def number_range(text: str) -> range:
    """`8` or `1-8`, both ends included."""
    first, dash, last = text.partition("-")
    if not first.isdigit() or (dash and not last.isdigit()):
        raise InstanceFileError(f"--instances {text}: a number or a range such as 1-8 expected")
    return range(int(first), int(last if dash else first) + 1)


def read_instances(path: Path) -> list[Instance]:
    """All instances of a file; InstanceFileError names the line and key of the first fault."""
    try:
        return list(_read_lines(path))
    except (OSError, EOFError, UnicodeDecodeError) as error:
        raise InstanceFileError(f"{path}: cannot be read: {error}") from error


def _read_lines(path: Path) -> Iterator[Instance]:
    opened = gzip.open if path.suffix == ".gz" else open
    with opened(path, "rt", encoding="utf-8") as lines:
        for number, line in enumerate(lines, start=1):
            if not line.strip():
                continue
            try:
                yield Instance.of(json.loads(line))
            except InstanceError as error:
                raise InstanceFileError(f"{path}: line {number}: {error}") from error
            except json.JSONDecodeError as error:
                raise InstanceFileError(f"{path}: line {number}: not JSON: {error}") from error
