"""`assign`: an agent for each task, for each line of a file of assignment instances."""

import argparse
import functools
import time
from collections.abc import Iterable, Iterator

from jobs.scheduling.commands.instances import Sharing, parse_sharing
from jobs.scheduling.commands.writing import add_common_arguments, answer
from jobs.scheduling.solver.allocating import Allocation, allot
from loading.planner.stopping import Iterations, Seconds


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_common_arguments(parser)
    parser.add_argument(
        "--minimise", action="store_true", help="least cost (without: greatest profit)"
    )


def run(args: argparse.Namespace) -> int:
    """0: answers written (`agents` null where nothing fits); 2: bad input."""

    def solved(sharings: Iterable[Sharing]) -> Iterator[dict[str, object]]:
        allot(Allocation(((1,),), ((1,),), (1,)), seed=1, stop=Iterations(1), prove=False)
        for sharing in sharings:
            stop = Seconds(args.seconds, time.monotonic)
            found = allot(sharing.problem, seed=args.seed, stop=stop)
            agents = None if found.agents is None else list(found.agents)
            yield {"id": sharing.id, "agents": agents}

    return answer(args, functools.partial(parse_sharing, minimise=args.minimise), solved)
