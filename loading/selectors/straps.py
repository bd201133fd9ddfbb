"""What the loader has to strap, tier by tier: the road sheet's rules where they are carried out."""

from collections.abc import Mapping
from dataclasses import dataclass

from loading.models import LoadPlan
from loading.road.gear import parse_gear
from loading.road.holding import Holding, Strapping, holding_of
from loading.selectors.kept import Kept
from loading.selectors.plans import plan_of


@dataclass(frozen=True, slots=True)
class TierStraps:
    """The straps behind a tier, from wall to wall (None: no rule asks for one), each good for
    `limit_g`, and the tags of tall pieces to tie to the wall beside them."""

    strapping: Strapping | None
    limit_g: int
    ties: tuple[str, ...]


_holdings: "Kept[Holding]" = Kept()


def plan_holding(*, plan: LoadPlan) -> Holding:
    """How a stored plan's load is held, with the straps that its truck had when it was made."""
    gear, _ = parse_gear(plan.request_document["truck"].get("straps", []))
    return _holdings.of(plan.run_id, lambda: holding_of(*plan_of(plan=plan), gear))


def tier_straps(*, plan: LoadPlan) -> Mapping[int, TierStraps]:
    """By tier, for departure; a tier that is not named needs nothing."""
    holding = plan_holding(plan=plan)
    behind = {one.tier: one for one in holding.strappings if one.after_stop == 0}
    tall = {tipper.tier for tipper in holding.tippers}
    return {
        tier: TierStraps(
            strapping=behind.get(tier),
            limit_g=holding.gear.weakest[1],
            ties=tuple(sorted({one.tag for one in holding.tippers if one.tier == tier})),
        )
        for tier in sorted({*behind, *tall})
    }


def straps_after_stops(*, plan: LoadPlan) -> tuple[Strapping, ...]:
    """What is to be strapped anew once a stop is delivered, in the order of the stops."""
    return tuple(one for one in plan_holding(plan=plan).strappings if one.after_stop)
