"""The command line of the scheduling; needs no Django and no database.

    python -m jobs.scheduling rcpsp INSTANCES.jsonl --seconds 2 --output OUT.jsonl
    python -m jobs.scheduling assign INSTANCES.jsonl --seconds 10 --minimise --output OUT.jsonl

Exit status: 0 answers were written; 2 bad input, with one line for each fault; 130 cancelled.
"""

import argparse
import importlib
import sys
from collections.abc import Sequence

from loading.planner.kernel_cache import use_kernel_cache

COMMANDS = {
    "rcpsp": "shortest schedules of projects with limited resources",
    "assign": "tasks to agents within their capacities, or jobs to machines",
}
CANCELLED = 130


def main(argv: Sequence[str]) -> int:
    use_kernel_cache()
    parser = argparse.ArgumentParser(prog="python -m jobs.scheduling", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, summary in COMMANDS.items():
        subparser = commands.add_parser(name, help=summary, description=summary)
        if name in argv:
            # Imported only now, for Numba reads its settings when it is imported.
            module = importlib.import_module(f"jobs.scheduling.commands.{name}")
            module.add_arguments(subparser)
            subparser.set_defaults(run=module.run)
    try:
        args = parser.parse_args(argv)
        status: int = args.run(args)
    except KeyboardInterrupt:
        sys.stderr.write("cancelled\n")
        return CANCELLED
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
