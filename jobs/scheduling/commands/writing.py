"""What both commands do with their arguments and files."""

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO, TypeVar

from jobs.scheduling.commands.instances import Fields, InstanceError, read_lines

Read = TypeVar("Read")
OK, BAD_INPUT = 0, 2


def add_common_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("instances", type=Path, help="JSON lines, one instance a line")
    parser.add_argument("--seconds", type=_seconds, required=True, help="wall time per instance")
    parser.add_argument("--output", type=Path, required=True, help="where the answers go")
    parser.add_argument("--seed", type=int, default=1, help="default 1")


def answer(
    args: argparse.Namespace,
    parse: Callable[[Fields], Read],
    solved: Callable[[Iterable[Read]], Iterator[dict[str, object]]],
) -> int:
    """Write a line for each instance; the output is there whole or as it was before."""
    try:
        read, faults = read_lines(args.instances, parse)
        for fault in faults:
            _say(fault)
        if faults:
            return BAD_INPUT
        with _whole(args.output) as output:
            for line in solved(read):
                output.write(json.dumps(line, separators=(",", ":")) + "\n")
    except OSError as error:
        _say(error)
        return BAD_INPUT
    return OK


def _say(what: InstanceError | OSError) -> None:
    sys.stderr.write(f"{what}\n")


@contextmanager
def _whole(path: Path) -> Iterator[TextIO]:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as output:
            yield output
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _seconds(text: str) -> float:
    seconds = float(text)
    if not 0 < seconds < 1e6:
        raise argparse.ArgumentTypeError("must be more than 0")
    return seconds
