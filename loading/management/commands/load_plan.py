"""Plan a load from the command line, with progress: `manage.py load_plan REFERENCE`."""

import os
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from loading.errors import DocumentInvalid
from loading.models import Load, LoadPlan, PlanRun
from loading.planner.ordering import SearchProgress
from loading.services import plan_run_create, plan_run_execute


class Command(BaseCommand):
    help = "Plan a load here and now and store the plan as its next version."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("reference", help="the load's reference, for example LOAD-0412")
        parser.add_argument("--branch", help="the branch's code, where two use the reference")
        parser.add_argument("--seconds", type=float, default=10.0)
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ARG002
        if options["seconds"] <= 0:
            raise CommandError("--seconds must be more than 0", returncode=2)
        load = _load_named(options["reference"], options["branch"])
        run = _run_created(load, seed=options["seed"], budget_s=options["seconds"])
        plan = plan_run_execute(
            run_id=run.id,
            worker=f"command/{os.getpid()}",
            now=timezone.now(),
            on_progress=self._progress_show,
            workers=os.cpu_count() or 1,
        )
        self.stderr.write("")
        if plan is None:
            run.refresh_from_db()
            raise CommandError(f"no plan was stored: {run.status} {run.problem or ''}")
        self._plan_show(load, plan)

    def _progress_show(self, progress: SearchProgress) -> None:
        told = (
            f"\r{progress.share:5.0%} of the time, {progress.loaded} of {progress.pieces} pieces,"
            f" space use {progress.space_use:.3f}"
        )
        self.stderr.write(told, ending="")
        self.stderr.flush()

    def _plan_show(self, load: Load, plan: LoadPlan) -> None:
        figures = plan.figures
        self.stdout.write(
            f"{load.reference} version {plan.version}: {figures['loaded']} pieces loaded,"
            f" {figures['left_off']} left off, {figures['tiers']} tiers,"
            f" {figures['length_mm']} mm long, space use {figures['space_use']:.3f}"
        )


def _load_named(reference: str, branch: str | None) -> Load:
    found = Load.objects.filter(reference=reference)
    if branch is not None:
        found = found.filter(branch__code=branch)
    loads = list(found[:2])
    if not loads:
        raise CommandError(f"there is no load {reference}", returncode=2)
    if len(loads) > 1:
        raise CommandError(f"several branches have a load {reference}: say --branch", returncode=2)
    return loads[0]


def _run_created(load: Load, *, seed: int, budget_s: float) -> PlanRun:
    try:
        return plan_run_create(load=load, seed=seed, budget_s=budget_s, send=False)
    except DocumentInvalid as error:
        lines = "\n".join(f"{fault.pointer}: {fault.message}" for fault in error.faults)
        raise CommandError(lines, returncode=2) from error
