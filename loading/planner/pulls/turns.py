"""Whether a load's next step in the lanes can be done now, without barring what others still do."""

from __future__ import annotations

from collections.abc import Sequence

from loading.planner.plan import Step
from loading.planner.pulls.sharing import clashes
from loading.planner.pulls.yard import Yard

Left = Sequence[tuple[str, Sequence[Step]]]


def waits_for(yard: Yard, load: str, step: Step, left: Left) -> str | None:
    """The load that has to go on in the lanes before this step of another; None if it can be done.

    `left` is what each load still does in the lanes, the loads in the order in which they pull.
    The step waits while more of all that could not be done if it came at once: it stands behind
    what another takes away, or would put a vault in its way.
    """
    place = [name for name, _steps in left].index(load)
    before = [name for name, steps in left[:place] if steps]
    if not before:
        return None
    rest = [(name, _without(steps, step) if name == load else steps) for name, steps in left]
    at_once = clashes(yard, [(load, (step,)), *rest])
    return before[-1] if len(at_once) > len(clashes(yard, left)) else None


def _without(steps: Sequence[Step], gone: Step) -> Sequence[Step]:
    place = steps.index(gone)
    return (*steps[:place], *steps[place + 1 :])
