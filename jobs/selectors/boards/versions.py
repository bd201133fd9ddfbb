"""Two versions of a job's plan side by side: what changes for whoever has begun on the former."""

from dataclasses import dataclass

from jobs.models import Job
from loading.errors import NoPlanYet
from loading.models import LoadPlan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.selectors import plan_change, plan_of


@dataclass(frozen=True, slots=True)
class VersionFigures:
    """What a version comes to. `space_use` is in percent of the truck length that is used."""

    pieces: int
    left_off: int
    tiers: int
    space_use: float
    pads: int
    moves: int
    pulls: int


@dataclass(frozen=True, slots=True)
class ChangedPiece:
    """A piece and its tier before and after; None where it is not loaded."""

    tag: str
    name: str
    before: int | None
    after: int | None


@dataclass(frozen=True, slots=True)
class VersionsBoard:
    """`pieces` change tier, come in or stay behind; `same_tier` stand elsewhere in theirs."""

    former: LoadPlan
    plan: LoadPlan
    figures: tuple[VersionFigures, VersionFigures]
    pieces: tuple[ChangedPiece, ...]
    same_tier: tuple[str, ...]
    kept: int
    pull_order_changed: bool
    versions: tuple[int, ...]


def versions_board(*, job: Job, former: int, version: int) -> VersionsBoard:
    """Compare two versions of the load's plan; raises `NoPlanYet` for one that there is not."""
    plans = {plan.version: plan for plan in job.load.plans.filter(version__in=(former, version))}
    for wanted in (former, version):
        if wanted not in plans:
            raise NoPlanYet(job.load.reference, wanted)
    before, after = plan_of(plan=plans[former]), plan_of(plan=plans[version])
    change = plan_change(former=plans[former], plan=plans[version])
    return VersionsBoard(
        former=plans[former],
        plan=plans[version],
        figures=(_figures(*before), _figures(*after)),
        pieces=_changed(before, after),
        same_tier=change.other_place,
        kept=change.kept,
        pull_order_changed=change.pull_order_changed,
        versions=tuple(job.load.plans.order_by("version").values_list("version", flat=True)),
    )


def _figures(request: LoadRequest, planned: PlannedLoad) -> VersionFigures:
    done = [step.do for step in planned.steps]
    return VersionFigures(
        pieces=len(planned.placements),
        left_off=len(planned.left_off),
        tiers=len({placed.tier for placed in planned.placements}),
        space_use=100 * _space_use(request, planned),
        pads=sum(fill.pads for fill in planned.fills),
        moves=done.count("move"),
        pulls=done.count("pull"),
    )


def _space_use(request: LoadRequest, planned: PlannedLoad) -> float:
    """The share of the used length that is goods: volume as loaded by the length to the last."""
    reached = max((p.at_mm[0] + p.size_mm[0] for p in planned.placements), default=0)
    _, width, height = request.truck.interior_mm
    volume = sum(p.size_mm[0] * p.size_mm[1] * p.size_mm[2] for p in planned.placements)
    return volume / (reached * width * height) if reached else 0.0


def _changed(
    before: tuple[LoadRequest, PlannedLoad], after: tuple[LoadRequest, PlannedLoad]
) -> tuple[ChangedPiece, ...]:
    was = {placed.tag: placed.tier for placed in before[1].placements}
    now = {placed.tag: placed.tier for placed in after[1].placements}
    names = {item.tag: item.name for request, _ in (before, after) for item in request.items}
    return tuple(
        ChangedPiece(tag, names[tag], was.get(tag), now.get(tag))
        for tag in sorted(was.keys() | now.keys())
        if was.get(tag) != now.get(tag)
    )
