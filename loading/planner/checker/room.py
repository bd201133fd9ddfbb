"""R3: everything is inside, and no two things share space, but for a guest in its opening."""

from collections.abc import Iterator

import numpy as np

from loading.planner.checker.layout import TOLERANCE_MM, Body, Kind, Layout
from loading.planner.checker.report import Broken


def broken(layout: Layout) -> Iterator[Broken]:
    yield from _guests(layout)
    for body in [*layout.pieces.values(), *layout.fills.values()]:
        if min(body.size) <= 0:
            yield Broken("R3", f"{body.name} size", f"{body.name} has no size")
        if _leaves(body, layout.request.truck.interior_mm):
            yield Broken("R3", f"{body.name} interior", f"{body.name} leaves the interior")
    yield from _shared_space(layout)


def _guests(layout: Layout) -> Iterator[Broken]:
    for tag, place in layout.placements.items():
        if place.inside is not None and layout.pieces[tag].index not in layout.hosts:
            message = f"{tag} does not lie in an opening of {place.inside}, or that is a guest"
            yield Broken("R3", f"{tag} inside {place.inside}", message)


def _leaves(body: Body, interior_mm: tuple[int, int, int]) -> bool:
    below = any(at < -TOLERANCE_MM for at in body.at)
    spans = zip(body.end, interior_mm, strict=True)
    return below or any(end > limit + TOLERANCE_MM for end, limit in spans)


def _shared_space(layout: Layout) -> Iterator[Broken]:
    for i, j in np.argwhere(np.triu(layout.meeting)).tolist():
        one, other = layout.bodies[i], layout.bodies[j]
        kinds = {one.kind, other.kind}
        if Kind.FORMER in kinds or kinds == {Kind.BLOCKED}:
            continue
        if layout.hosts.get(i) == j or layout.hosts.get(j) == i:
            continue
        pair = " and ".join(sorted((one.name, other.name)))
        yield Broken("R3", pair, f"{pair} share space")
