"""`rcpsp`: the shortest schedule for each line of a file of project instances."""

import argparse
import time
from collections.abc import Iterable, Iterator

from jobs.scheduling.commands.instances import Project, parse_project
from jobs.scheduling.commands.writing import add_common_arguments, answer
from jobs.scheduling.solver.portfolio import solve, warm
from loading.planner.stopping import Seconds


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_common_arguments(parser)


def run(args: argparse.Namespace) -> int:
    """0: answers written; 2: bad input, each fault on a line of its own."""

    def solved(projects: Iterable[Project]) -> Iterator[dict[str, object]]:
        warm()
        for project in projects:
            stop = Seconds(args.seconds, time.monotonic)
            found = solve(project.problem, seed=args.seed, stop=stop)
            starts = [start.begins if start else None for start in found.schedule.starts]
            yield {"id": project.id, "starts": starts}

    return answer(args, parse_project, solved)
