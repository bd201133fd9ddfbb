"""Stored plans, and the frozen data of the planner that they stand for."""

from typing import Final

from django.db.models import Func, IntegerField, QuerySet
from django.db.models.fields.json import KeyTransform

from loading.errors import NoPlanYet
from loading.models import Load, LoadPlan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.plan import parse_plan
from loading.planner.request import LoadRequest, parse_request
from loading.selectors.kept import Kept

_LONG: Final = ("request_document", "document", "figures")

_read: "Kept[tuple[LoadRequest, PlannedLoad]]" = Kept()


def plan_long_fields(path: str) -> tuple[str, ...]:
    """The names of a stored plan's documents behind a relation, for queries that do without them.

    They are hundreds of kB, which `plan_of` reads once in a process.
    """
    return tuple(f"{path}__{name}" for name in _LONG)


def load_plan_versions(*, load: Load) -> QuerySet[LoadPlan]:
    """All plans of a load, the newest first, without documents: `pieces` loaded, `left`, and the
    `pull_order` that each was made for."""
    return load.plans.defer(*_LONG).annotate(
        pieces=_count("placements"),
        left=_count("left_off"),
        pull_order=KeyTransform("pull_order", "request_document"),
    )


def _count(name: str) -> Func:
    """How many a stored plan's document has, counted where it lies."""
    listed = KeyTransform(name, "document")
    return Func(listed, function="jsonb_array_length", output_field=IntegerField())


def load_latest_plan(*, load: Load) -> LoadPlan | None:
    """The newest version, whose documents are read from the database only where asked for."""
    return load.plans.defer(*_LONG).order_by("-version").first()


def load_plan_demanded(*, load: Load, version: int | None = None) -> LoadPlan:
    """The load's plan of that version, or its latest; raises `NoPlanYet` if there is none."""
    plans = load.plans.order_by("-version")
    plan = (plans if version is None else plans.filter(version=version)).first()
    if plan is None:
        raise NoPlanYet(load.reference, version)
    return plan


def plan_of(*, plan: LoadPlan) -> tuple[LoadRequest, PlannedLoad]:
    """The request that a stored plan answers, and the plan, as the planner reads them.

    Reading a household's plan takes tens of milliseconds and every page of the floor asks for it.
    A stored plan never changes, so each process keeps the last few that it read.
    """
    return _read.of(
        plan.run_id, lambda: (parse_request(plan.request_document), parse_plan(plan.document))
    )
