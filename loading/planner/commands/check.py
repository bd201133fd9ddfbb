"""Judges a plan: prints each broken rule, then the figures."""

import argparse
import json
import sys
from collections import Counter

from loading.planner.checker import Report, check_plan
from loading.planner.commands.documents import BadInput, read_document
from loading.planner.errors import PlanError
from loading.planner.plan import parse_plan
from loading.planner.request import parse_request


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("request", metavar="REQUEST.json")
    parser.add_argument("plan", metavar="PLAN.json")
    parser.add_argument("--json", action="store_true", help="print one JSON object instead")


def run(args: argparse.Namespace) -> int:
    """0 if no rule is broken, 1 if some are, 2 if a file is not in its form."""
    try:
        request = read_document(args.request, parse_request)
        plan = read_document(args.plan, parse_plan)
        report = check_plan(request, plan)
    except BadInput as error:
        return error.reported()
    except PlanError as error:
        return BadInput(*(f"{args.plan}: {fault}" for fault in error.faults)).reported()
    sys.stdout.write(_as_json(report) if args.json else _as_text(report))
    return 1 if report.broken else 0


def _as_json(report: Report) -> str:
    document = {
        "broken": [[fault.rule, fault.message] for fault in report.broken],
        "given": [[fault.rule, fault.message] for fault in report.given],
        "figures": report.figures,
    }
    return json.dumps(document, ensure_ascii=False) + "\n"


def _as_text(report: Report) -> str:
    lines = [str(fault) for fault in report.broken]
    lines += [f"given: {fault}" for fault in report.given]
    lines += [f"{name:<15} {_said(value)}" for name, value in report.figures.items()]
    counts = Counter(fault.rule for fault in report.broken)
    by_rule = ", ".join(f"{rule} x{count}" for rule, count in counts.items())
    lines.append(f"{len(report.broken)} broken: {by_rule}" if counts else "no rule broken")
    return "\n".join(lines) + "\n"


def _said(value: object) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {part}" for name, part in value.items())
    if isinstance(value, list):
        return ", ".join(str(part) for part in value)
    return str(value)
