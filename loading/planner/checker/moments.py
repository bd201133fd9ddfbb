"""The steps as the truck sees them: what goes in or comes out, and what is aboard just before."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from loading.planner.checker.layout import Body, Layout, Mask
from loading.planner.plan import LoadPlan, Step


@dataclass(frozen=True, slots=True)
class Moment:
    """One step that moves a piece or a fill into or out of the truck.

    `aboard` marks the bodies that are in the truck before it, blocked boxes not among them.
    """

    number: int
    step: Step
    body: Body
    aboard: Mask
    is_given: bool

    @property
    def where(self) -> str:
        return f"step {self.number} ({self.step.do})"


def given_steps(layout: Layout) -> int:
    progress = layout.request.progress
    return len(progress.steps) if progress else 0


def moments(layout: Layout, plan: LoadPlan) -> Iterator[Moment]:
    """The moments in order. What a given step loads stands where the progress says; a step that
    names what has no place, is in already, or was not in before the plan moves nothing (R1 or R10
    says so)."""
    aboard = layout.present & False
    given = given_steps(layout)
    inside: dict[str, Moment] = {}
    for number, step in enumerate(plan.steps, 1):
        body = _body(layout, step, inside, is_given=number <= given)
        if body is None:
            continue
        moment = Moment(number, step, body, aboard.copy(), number <= given)
        yield moment
        if step.do == "take_out":
            aboard[body.index] = False
            del inside[body.name]
        else:
            aboard[body.index] = True
            inside[body.name] = moment


def _body(layout: Layout, step: Step, inside: dict[str, Moment], *, is_given: bool) -> Body | None:
    if step.do == "fill" and step.fill is not None:
        fill = layout.fills.get(step.fill)
        return None if fill is None or fill.name in inside else fill
    if step.tag is None or step.do not in ("load", "take_out"):
        return None
    loaded = inside.get(step.tag)
    if step.do == "take_out":
        return loaded.body if loaded is not None and loaded.is_given else None
    if loaded is not None:
        return None
    former = layout.former.get(step.tag) if is_given else None
    return former or layout.pieces.get(step.tag)


def never_aboard(layout: Layout, moments: Iterable[Moment]) -> list[Body]:
    """The pieces and fills that have a place, but are not in the truck in the end."""
    aboard: set[str] = set()
    for moment in moments:
        if moment.step.do == "take_out":
            aboard.discard(moment.body.name)
        else:
            aboard.add(moment.body.name)
    bodies = [*layout.pieces.values(), *layout.fills.values()]
    return [body for body in bodies if body.name not in aboard]
