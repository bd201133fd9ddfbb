"""Plans a load and writes the plan; what cannot go along is left off with a reason."""

import argparse
import math
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from loading.planner.commands.documents import BadInput, read_document, writable, write_document
from loading.planner.ordering import SearchProgress, plan_with_orders
from loading.planner.plan import LoadPlan, parse_plan, plan_document
from loading.planner.request import LoadRequest, parse_request
from loading.planner.stopping import AnyOf, Iterations, Seconds, Stop

CANCELLED = 130
MOST_WORKERS = 64


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("request", metavar="REQUEST.json")
    parser.add_argument("--output", required=True, metavar="PLAN.json")
    parser.add_argument("--seconds", type=_seconds, help="wall time once kernels are loaded")
    parser.add_argument("--iterations", type=_whole, help="stop after so many: repeats exactly")
    parser.add_argument("--seed", type=_whole, default=1)
    parser.add_argument(
        "--workers",
        type=_workers,
        help="threads to use: all cores, or 1 with --iterations alone, so that it repeats anywhere",
    )
    parser.add_argument("--former", metavar="PLAN.json", help="an earlier plan to stay close to")
    parser.add_argument("--progress", action="store_true", help="show progress on stderr")


def run(args: argparse.Namespace) -> int:
    """0 if a plan was written, 2 for bad input, 130 when cancelled."""
    try:
        request = read_document(args.request, parse_request)
        former = read_document(args.former, parse_plan) if args.former else None
        output = writable(args.output)
        _warmed()  # here Ctrl-C still ends the program at once
        with _cancelling() as cancelled:
            plan = _planned(request, former, args, cancelled)
        if cancelled.is_set():
            sys.stderr.write("cancelled, no plan written\n")
            return CANCELLED
        write_document(output, plan_document(plan))
    except BadInput as error:
        return error.reported()
    except KeyboardInterrupt:
        return CANCELLED
    sys.stdout.write(_summary(plan))
    return 0


def _warmed() -> None:
    """Load the kernels, which the other commands do not need, or compile them."""
    from loading.planner.search import warm

    warm()


def _planned(
    request: LoadRequest,
    former: LoadPlan | None,
    args: argparse.Namespace,
    cancelled: threading.Event,
) -> LoadPlan:
    from loading.planner.search import plan_load

    def show(progress: SearchProgress) -> None:
        sys.stderr.write(
            f"\r{progress.share:5.0%}  {progress.loaded} of {progress.pieces} pieces, "
            f"space use {progress.space_use:.3f} "
        )
        sys.stderr.flush()

    shown = args.progress or sys.stderr.isatty()
    plan = plan_with_orders(
        plan_load,
        request,
        seed=args.seed,
        stop=_stop(args),
        workers=args.workers or _all_cores(args),
        former=former,
        on_progress=show if shown else None,
        cancelled=cancelled.is_set,
    )
    if shown:
        sys.stderr.write("\n")
    return plan


def _all_cores(args: argparse.Namespace) -> int:
    if args.iterations is not None and args.seconds is None:
        return 1
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(cores or 1, MOST_WORKERS)


def _stop(args: argparse.Namespace) -> Stop:
    rules: list[Stop] = []
    if args.iterations is not None:
        rules.append(Iterations(args.iterations))
    if args.seconds is not None or not rules:
        rules.append(Seconds(10.0 if args.seconds is None else args.seconds, time.monotonic))
    return rules[0] if len(rules) == 1 else AnyOf(tuple(rules))


@contextmanager
def _cancelling() -> Iterator[threading.Event]:
    """An event that the first Ctrl-C sets; a second one ends the program at once."""
    cancelled = threading.Event()

    def cancel(_number: int, _frame: FrameType | None) -> None:
        if cancelled.is_set():
            raise KeyboardInterrupt
        cancelled.set()

    before = signal.signal(signal.SIGINT, cancel)
    try:
        yield cancelled
    finally:
        signal.signal(signal.SIGINT, before)


def _summary(plan: LoadPlan) -> str:
    lines = [f"{left.tag} left off: {left.reason}" for left in plan.left_off]
    use = plan.figures.get("space_use")
    of_use = f", space use {use}" if use is not None else ""
    tiers = len({place.tier for place in plan.placements})
    lines.append(
        f"{len(plan.placements)} pieces in {tiers} tiers, {len(plan.left_off)} left off{of_use}"
    )
    return "\n".join([*lines, *plan.warnings]) + "\n"


def _seconds(text: str) -> float:
    value = float(text)
    if not 0 <= value <= 86_400 or not math.isfinite(value):
        raise argparse.ArgumentTypeError("must be from 0 to 86400 seconds")
    return value


def _whole(text: str) -> int:
    value = int(text)
    if not 0 <= value < 2**31:
        raise argparse.ArgumentTypeError("must be a whole number from 0 to 2147483647")
    return value


def _workers(text: str) -> int:
    value = int(text)
    if not 1 <= value <= MOST_WORKERS:
        raise argparse.ArgumentTypeError(f"must be from 1 to {MOST_WORKERS}")
    return value
