"""R8: what R4 asks to be under a piece or a fill is there when it is put in."""

from collections.abc import Iterable, Iterator

import numpy as np

from loading.planner.checker.footing import Footing
from loading.planner.checker.layout import Body, Kind, Layout
from loading.planner.checker.moments import Moment
from loading.planner.checker.report import Broken
from loading.planner.checker.support import held_share, is_enough


def broken(layout: Layout, moments: Iterable[Moment], never_aboard: list[Body]) -> Iterator[Broken]:
    blocked = np.array([body.kind is Kind.BLOCKED for body in layout.bodies], dtype=bool)
    always = layout.present & blocked
    for moment in moments:
        if moment.is_given or moment.step.do == "take_out":
            continue
        body = moment.body
        held = Footing(layout, moment.aboard | always).held_mm2(body)
        if not is_enough(body, held):
            share = held_share(body, held)
            message = f"{moment.where}: {body.name} has {share:.1%} of its bottom on something then"
            yield Broken("R8", f"{moment.where} {body.name}", message)
    for body in never_aboard:
        yield Broken("R8", body.name, f"{body.name} has a place, but is never put there")
