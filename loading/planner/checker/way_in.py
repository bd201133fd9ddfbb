"""R7: the straight path from the doors to a place is free when something is put there."""

from collections.abc import Iterable, Iterator

import numpy as np

from loading.planner.checker.layout import (
    GAP_UNDER_MM,
    TOLERANCE_MM,
    Body,
    Layout,
    Mask,
)
from loading.planner.checker.moments import Moment
from loading.planner.checker.report import Broken


def broken(layout: Layout, moments: Iterable[Moment]) -> Iterator[Broken]:
    for moment in moments:
        if moment.is_given:
            continue
        in_the_way = layout.barring[moment.body.index] & moment.aboard
        if moment.step.do == "take_out":
            in_the_way = _around(layout, moment.body) & moment.aboard
        found = np.flatnonzero(in_the_way)
        if found.size:
            other = layout.bodies[int(found[0])].name
            message = f"{moment.where}: {other} stands in the way of {moment.body.name}"
            yield Broken("R7", f"{moment.where} {moment.body.name}", message)


def _around(layout: Layout, body: Body) -> Mask:
    """What would keep a piece from coming out again: in its way, or on it. It comes out of the
    opening that it rides in, but not from around its own guest."""
    way: Mask = layout.ahead[body.index].copy()
    progress = layout.request.progress
    hosts = {p.tag: p.inside for p in progress.placements} if progress else {}
    for other in layout.bodies:
        if other.name == hosts.get(body.name):
            way[other.index] = False
        elif _on_top(body, other):
            way[other.index] = True
    return way


def _on_top(body: Body, other: Body) -> bool:
    gap = other.at[2] - body.end[2]
    shared = (min(body.end[a], other.end[a]) - max(body.at[a], other.at[a]) for a in (0, 1))
    return -TOLERANCE_MM <= gap <= GAP_UNDER_MM and all(mm > TOLERANCE_MM for mm in shared)
