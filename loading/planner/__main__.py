"""The planner's command line; needs no Django and no database.

    python -m loading.planner plan REQUEST.json --output PLAN.json --seconds 10 --seed 1
    python -m loading.planner check REQUEST.json PLAN.json

Exit status: 0 a plan was written, or no rule is broken; 1 rules are broken; 2 bad input, with one
line for each fault; 130 cancelled.
"""

import argparse
import importlib
import sys
from collections.abc import Sequence
from pathlib import Path

from loading.planner.commands import check, plan
from loading.planner.kernel_cache import use_kernel_cache

# Commands of their own subject: each package has a module `command` with add_arguments(parser)
# and run(args) -> int. They bring compiled kernels with them, so they are imported only when they
# are asked for; even looking for the module in the usual way would import its package.
LATE_COMMANDS = {
    "pack": ("packing", "pack containers from a file of instances"),
    "pull": ("pulls", "find few moves that bring vaults out of their lanes"),
}
CANCELLED = 130


def parser_for(argv: Sequence[str]) -> argparse.ArgumentParser:
    """The parser, with the arguments of a late command only if it is the one named."""
    parser = argparse.ArgumentParser(prog="python -m loading.planner", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, module, summary in (
        ("plan", plan, "plan a load"),
        ("check", check, "list the rules that a plan breaks, and its figures"),
    ):
        subparser = commands.add_parser(name, help=summary, description=module.__doc__)
        module.add_arguments(subparser)
        subparser.set_defaults(run=module.run)
    for name, (package, summary) in LATE_COMMANDS.items():
        if Path(__file__).with_name(package).joinpath("command.py").is_file():
            subparser = commands.add_parser(name, help=summary, description=summary)
            if name in argv[:1]:
                late = importlib.import_module(f"loading.planner.{package}.command")
                late.add_arguments(subparser)
                subparser.set_defaults(run=late.run)
    return parser


def main(argv: Sequence[str]) -> int:
    use_kernel_cache()
    try:
        args = parser_for(argv).parse_args(argv)
        status: int = args.run(args)
    except KeyboardInterrupt:
        print("cancelled", file=sys.stderr)
        return CANCELLED
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
