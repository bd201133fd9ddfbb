"""What a new version of a plan changes for the people who have begun on the old one."""

from dataclasses import dataclass

from loading.models import LoadPlan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.selectors.plans import plan_of


@dataclass(frozen=True, slots=True)
class PlanChange:
    """Tags by what happens to them from one plan to the next; `kept` is a count."""

    kept: int
    other_place: tuple[str, ...]
    other_tier: tuple[str, ...]
    now_loaded: tuple[str, ...]
    now_left_off: tuple[str, ...]
    pull_order_changed: bool


def plan_change(*, former: LoadPlan, plan: LoadPlan) -> PlanChange:
    """Compare two stored plans of a load."""
    return plan_change_of(plan_of(plan=former)[1], plan_of(plan=plan)[1])


def plan_change_of(former: PlannedLoad, plan: PlannedLoad) -> PlanChange:
    before = {placed.tag: placed for placed in former.placements}
    after = {placed.tag: placed for placed in plan.placements}
    both = sorted(before.keys() & after.keys())
    other_tier = tuple(tag for tag in both if before[tag].tier != after[tag].tier)
    moved = tuple(
        tag
        for tag in both
        if before[tag].tier == after[tag].tier
        and (before[tag].at_mm, before[tag].size_mm) != (after[tag].at_mm, after[tag].size_mm)
    )
    return PlanChange(
        kept=len(both) - len(other_tier) - len(moved),
        other_place=moved,
        other_tier=other_tier,
        now_loaded=tuple(sorted(after.keys() - before.keys())),
        now_left_off=tuple(sorted(before.keys() - after.keys())),
        pull_order_changed=_pulls(former) != _pulls(plan),
    )


def _pulls(plan: PlannedLoad) -> list[str | None]:
    return [step.vault for step in plan.steps if step.do == "pull"]
