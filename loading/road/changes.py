"""The single changes to a plan that may help its weights: swaps, and pieces that stay."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from enum import Enum
from itertools import combinations, pairwise

from loading.planner.checker.layout import GAP_UNDER_MM
from loading.planner.plan import LeftOff, LoadPlan, Placement, Step
from loading.planner.request import LoadRequest

REASON = "left for another truck: the weights on the road do not allow it"


class Change(Enum):
    SWAP = "swap"
    SWAP_TIERS = "swap_tiers"
    LEAVE = "leave"


Changed = tuple[Change, tuple[str, ...], LoadPlan]
"""What is changed, the tags or (as text) the tiers concerned, and the plan that comes of it."""

Changes = Callable[[LoadRequest, LoadPlan], Iterator[Changed]]


def _given(request: LoadRequest) -> frozenset[str]:
    """What stands already is not touched."""
    begun = request.progress.placements if request.progress else ()
    return frozenset(place.tag for place in begun)


def swaps(request: LoadRequest, plan: LoadPlan) -> Iterator[Changed]:
    """Two pieces of one size and one stop change places, and their turns to be loaded."""
    free = [p for p in plan.placements if p.tag not in _given(request)]
    for one, other in combinations(free, 2):
        if one.size_mm == other.size_mm and _may_swap(request, one, other):
            yield Change.SWAP, (one.tag, other.tag), _swapped(request, plan, one, other)


def _may_swap(request: LoadRequest, one: Placement, other: Placement) -> bool:
    first, second = request.item(one.tag), request.item(other.tag)
    return first.weight_g != second.weight_g and first.stop == second.stop


def _swapped(request: LoadRequest, plan: LoadPlan, one: Placement, other: Placement) -> LoadPlan:
    tags = {one.tag: other.tag, other.tag: one.tag}
    placements = tuple(
        replace(place, tag=tags.get(place.tag, place.tag), inside=_renamed(place.inside, tags))
        for place in plan.placements
    )
    steps = [
        replace(step, tag=tags[step.tag]) if step.do == "load" and step.tag in tags else step
        for step in plan.steps
    ]
    for tag in tags:
        steps = _brought_in_time(request, steps, tag)
    return replace(plan, placements=placements, steps=tuple(steps))


def _brought_in_time(request: LoadRequest, steps: list[Step], tag: str) -> list[Step]:
    """Where a piece is now loaded before it is on the floor, it and what stands before it in its
    vault come out earlier. Whether the vault is open by then is for the checker."""
    load = next(n for n, step in enumerate(steps) if step.do == "load" and step.tag == tag)
    vault = next((v for v in request.vaults if tag in v.items), None)
    needed = vault.items[: vault.items.index(tag) + 1] if vault else (tag,)
    late = [s for s in steps[load:] if s.do in ("unpack", "fetch") and s.tag in needed]
    rest = [step for step in steps[load:] if step not in late]
    return [*steps[:load], *late, *rest]


def _renamed(tag: str | None, tags: dict[str, str]) -> str | None:
    return None if tag is None else tags.get(tag, tag)


def tier_swaps(request: LoadRequest, plan: LoadPlan) -> Iterator[Changed]:
    """Two neighbouring tiers change places, if each stands clear of the other along the truck."""
    given = _given(request)
    tiers = sorted({place.tier for place in plan.placements})
    for front, rear in pairwise(tiers):
        swapped = _swapped_tiers(plan, front, rear)
        tags = {p.tag for p in plan.placements if p.tier in (front, rear)}
        if swapped is not None and not tags & given:
            yield Change.SWAP_TIERS, (str(front), str(rear)), swapped


def _swapped_tiers(plan: LoadPlan, front: int, rear: int) -> LoadPlan | None:
    (begin, middle), (rear_begin, end) = (_span(plan, tier) for tier in (front, rear))
    if rear_begin < middle:
        return None
    shift = {front: end - middle, rear: begin - rear_begin}
    other = {front: rear, rear: front}

    def moved(at_mm: tuple[int, int, int], tier: int) -> tuple[int, int, int]:
        return at_mm[0] + shift.get(tier, 0), at_mm[1], at_mm[2]

    placements = tuple(
        replace(p, tier=other.get(p.tier, p.tier), at_mm=moved(p.at_mm, p.tier))
        for p in plan.placements
    )
    fills = tuple(
        replace(f, tier=other.get(f.tier, f.tier), at_mm=moved(f.at_mm, f.tier)) for f in plan.fills
    )
    steps = _steps_swapped(plan, front, rear)
    return replace(plan, placements=placements, fills=fills, steps=steps)


def _span(plan: LoadPlan, tier: int) -> tuple[int, int]:
    bodies = [
        *((p.at_mm[0], p.size_mm[0]) for p in plan.placements if p.tier == tier),
        *((f.at_mm[0], f.size_mm[0]) for f in plan.fills if f.tier == tier),
    ]
    return min(at for at, _ in bodies), max(at + size for at, size in bodies)


def _steps_swapped(plan: LoadPlan, front: int, rear: int) -> tuple[Step, ...]:
    """The two tiers' loading changes its order; what happens at the dock stays where it was.

    All that is brought to the dock for either of them comes before both, so that what is loaded
    first is there. Whether the dock has room for that is for the checker.
    """
    tier_of = {p.tag: p.tier for p in plan.placements}
    fill_of = {f.fill: f.tier for f in plan.fills}

    def tier(step: Step) -> int | None:
        if step.do == "close":
            return step.tier
        if step.do == "load" and step.tag is not None:
            return tier_of.get(step.tag)
        return fill_of.get(step.fill) if step.do == "fill" and step.fill is not None else None

    loading: dict[int | None, list[Step]] = {front: [], rear: []}
    rest: list[tuple[int, Step]] = []
    last = 0
    for number, step in enumerate(plan.steps):
        of = tier(step)
        if of in loading:
            loading[of].append(_renumbered(step, {front: rear, rear: front}))
            last = number
        else:
            rest.append((number, step))
    before = [step for number, step in rest if number < last]
    after = [step for number, step in rest if number > last]
    return (*before, *loading[rear], *loading[front], *after)


def _renumbered(step: Step, tiers: dict[int, int]) -> Step:
    return replace(step, tier=tiers[step.tier]) if step.tier is not None else step


def leaves(request: LoadRequest, plan: LoadPlan) -> Iterator[Changed]:
    """A piece stays: on the dock's floor if it comes out of a vault, else where it is."""
    given = _given(request)
    for place in plan.placements:
        if place.tag not in given and not _carries(plan, place):
            yield Change.LEAVE, (place.tag,), _without(request, plan, place.tag)


def _carries(plan: LoadPlan, place: Placement) -> bool:
    """Whether something rests on the piece or rides in it, so that it cannot be left alone."""
    top = place.at_mm[2] + place.size_mm[2]
    bodies = [(p.at_mm, p.size_mm) for p in plan.placements if p.tag != place.tag]
    bodies += [(fill.at_mm, fill.size_mm) for fill in plan.fills]
    return any(p.inside == place.tag for p in plan.placements) or any(
        0 <= at_mm[2] - top <= GAP_UNDER_MM
        and all(
            at_mm[axis] < place.at_mm[axis] + place.size_mm[axis]
            and place.at_mm[axis] < at_mm[axis] + size_mm[axis]
            for axis in (0, 1)
        )
        for at_mm, size_mm in bodies
    )


def _without(request: LoadRequest, plan: LoadPlan, tag: str) -> LoadPlan:
    unneeded = {"load"} if request.vault_of(tag) else {"load", "fetch"}
    tier = next(place.tier for place in plan.placements if place.tag == tag)
    changed = replace(
        plan,
        placements=tuple(place for place in plan.placements if place.tag != tag),
        steps=tuple(s for s in plan.steps if s.tag != tag or s.do not in unneeded),
        left_off=(*plan.left_off, LeftOff(tag, REASON)),
    )
    used = {place.tier for place in changed.placements} | {fill.tier for fill in changed.fills}
    return changed if tier in used else _tier_dropped(changed, tier)


def _tier_dropped(plan: LoadPlan, tier: int) -> LoadPlan:
    """The plan without a tier in which nothing stands any more; those behind it count one less."""

    def less(number: int) -> int:
        return number - 1 if number > tier else number

    return replace(
        plan,
        placements=tuple(replace(p, tier=less(p.tier)) for p in plan.placements),
        fills=tuple(replace(f, tier=less(f.tier)) for f in plan.fills),
        steps=tuple(
            step if step.tier is None else replace(step, tier=less(step.tier))
            for step in plan.steps
            if step.tier != tier
        ),
    )
