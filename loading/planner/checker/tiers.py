"""R9: tiers are loaded one after another, each closed once, and none is too deep."""

from collections.abc import Iterator

from loading.planner.checker.layout import Body, Layout
from loading.planner.checker.moments import given_steps
from loading.planner.checker.report import Broken
from loading.planner.plan import LoadPlan, Step

DEPTH_MAX_MM = 2500


def broken(layout: Layout, plan: LoadPlan) -> Iterator[Broken]:
    given = given_steps(layout)
    walk = _Walk(layout)
    for number, step in enumerate(plan.steps, 1):
        is_given = number <= given
        for message in walk.faults(step, is_given=is_given):
            if not is_given:
                where = f"step {number} ({step.do})"
                yield Broken("R9", where, f"{where}: {message}")
    for tier in sorted(_named(layout) - walk.closed):
        yield Broken("R9", f"tier {tier}", f"tier {tier} is never closed")
    yield from _too_deep(layout, walk.added_to)


class _Walk:
    """Follows the tiers through the steps."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._now = 1
        self._begun: set[int] = set()
        self._closed_given: set[int] = set()
        self._fills: set[int] = set()
        self.closed: set[int] = set()
        self.added_to: set[int] = set()

    def faults(self, step: Step, *, is_given: bool) -> Iterator[str]:
        if step.do == "close" and step.tier is not None:
            yield from self._close(step.tier, is_given=is_given)
            return
        tier = self._tier_of(step, is_given=is_given)
        if tier is None:
            return
        if not (step.do == "fill" and tier in self._closed_given):
            yield from self._order(step, tier)
        self._now = max(self._now, tier)
        self._begun.add(tier)
        if step.do == "load" and not is_given:
            self.added_to.add(tier)

    def _tier_of(self, step: Step, *, is_given: bool) -> int | None:
        if step.do == "fill" and step.fill in self._layout.fill_places:
            if step.fill in self._fills:  # in already: R1 says so
                return None
            self._fills.add(step.fill)
            return self._layout.fill_places[step.fill].tier
        if step.do != "load" or step.tag is None:
            return None
        if is_given:
            return self._given_tier(step.tag)
        place_now = self._layout.placements.get(step.tag)
        return place_now.tier if place_now else None

    def _given_tier(self, tag: str) -> int | None:
        """None for what came out again in the given steps: where it stood is not told."""
        progress = self._layout.request.progress
        placements = progress.placements if progress is not None else ()
        return next((place.tier for place in placements if place.tag == tag), None)

    def _order(self, step: Step, tier: int) -> Iterator[str]:
        what = step.tag if step.do == "load" else f"fill {step.fill}"
        if tier in self.closed:
            yield f"{what} goes into tier {tier}, which is closed"
        elif tier < self._now:
            yield f"{what} of tier {tier} comes after tier {self._now}"
        elif tier > self._now and self._now not in self.closed:
            yield f"{what} of tier {tier} comes before tier {self._now} is closed"

    def _close(self, tier: int, *, is_given: bool) -> Iterator[str]:
        if tier in self.closed:
            yield f"tier {tier} is closed twice"
        elif tier not in self._begun:
            yield f"nothing is in tier {tier}"
        self.closed.add(tier)
        if is_given:
            self._closed_given.add(tier)


def _named(layout: Layout) -> set[int]:
    pieces = {place.tier for place in layout.placements.values()}
    return pieces | {fill.tier for fill in layout.fill_places.values()}


def bodies_by_tier(layout: Layout) -> dict[int, list[Body]]:
    found: dict[int, list[Body]] = {}
    for tag, place in layout.placements.items():
        found.setdefault(place.tier, []).append(layout.pieces[tag])
    return found


def depth_mm(bodies: list[Body]) -> int:
    """From the rearmost to the foremost point; fills do not count."""
    return max(body.end[0] for body in bodies) - min(body.at[0] for body in bodies)


def _too_deep(layout: Layout, tiers: set[int]) -> Iterator[Broken]:
    for tier, bodies in sorted(bodies_by_tier(layout).items()):
        longest = max(body.size[0] for body in bodies)
        if tier in tiers and depth_mm(bodies) > max(DEPTH_MAX_MM, longest):
            yield Broken("R9", f"tier {tier}", f"tier {tier} is {depth_mm(bodies)} mm deep")
