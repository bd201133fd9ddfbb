"""`pull`: fewest moves for each line of a file of retrieval instances."""

from __future__ import annotations

import argparse
import math
import sys
import time
from pathlib import Path

from loading.planner.pulls.errors import InstanceError
from loading.planner.pulls.instances import Instance, answer_line, parse_instance
from loading.planner.pulls.search import solve, warm
from loading.planner.stopping import Seconds

OK, BAD_INPUT, CANCELLED = 0, 2, 130


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("instances", type=Path, help="JSON lines: id, stacks, hmax")
    parser.add_argument("--seconds", type=_seconds, required=True, help="wall time per instance")
    parser.add_argument("--unrestricted", action="store_true", help="any block may be moved")
    parser.add_argument("--output", type=Path, required=True, help="where the answers go")


def run(args: argparse.Namespace) -> int:
    """0: answers written; 2: bad input, each fault on a line of its own; 130: cancelled."""
    try:
        instances = _read(args.instances)
    except (OSError, UnicodeDecodeError) as error:
        sys.stderr.write(f"pull: {args.instances}: {error}\n")
        return BAD_INPUT
    if instances is None:
        return BAD_INPUT
    warm()
    try:
        with args.output.open("w", encoding="utf-8") as output:
            for instance in instances:
                stop = Seconds(args.seconds, time.perf_counter)
                found = solve(instance.stacks, restricted=not args.unrestricted, stop=stop)
                output.write(answer_line(instance, found) + "\n")
                if found.moves is None:
                    sys.stderr.write(f"pull: {instance.name}: no way was found\n")
    except KeyboardInterrupt:
        return CANCELLED
    except OSError as error:
        sys.stderr.write(f"pull: {error}\n")
        return BAD_INPUT
    return OK


def _seconds(text: str) -> float:
    value = float(text)
    if not (math.isfinite(value) and value >= 0):
        raise argparse.ArgumentTypeError("must be 0 seconds or more")
    return value


def _read(path: Path) -> list[Instance] | None:
    """All instances of a file, or None when a line is bad (all such are told)."""
    instances: list[Instance] = []
    faults = 0
    for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), 1):
        if not line.strip():
            continue
        try:
            instances.append(parse_instance(line, number))
        except InstanceError as error:
            sys.stderr.write(f"pull: {error}\n")
            faults += 1
    return None if faults else instances
