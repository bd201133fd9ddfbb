"""R14: pushed as far as geometry lets them go, pieces do not travel far; fills are sound.

The push: pieces and fills are moved one after another toward the wall, nearest first, each until
it meets the wall, or until the blocked boxes and things already pushed that it has met so far
together cover at least 10 % of the face turned to them.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loading.planner.checker.areas import Rectangle, covered_mm2
from loading.planner.checker.layout import TOLERANCE_MM, Body, Kind, Layout
from loading.planner.checker.report import Broken
from loading.planner.plan import Fill

TRAVEL_MM = 150
FACE_PERCENT = 10
# A roll longer than this along an axis, or a row of rolls deeper than that, stops nothing.
STRUT_MM, ROW_MM = 300, 900
THIN_MM, THICK_MM = 20, 300
LONG_MM, LONG_THIN_MM = 1000, 100
PAD_MM3 = 30_000_000


@dataclass(frozen=True, slots=True)
class Travels:
    """How far each piece that is pushed travels, in mm."""

    side: dict[str, int]
    nose: dict[str, int]


def travels(layout: Layout) -> Travels:
    left = _Push(layout, axis=1, forward=True).run()
    right = _Push(layout, axis=1, forward=False).run()
    nose = _Push(layout, axis=0, forward=True).run()
    pushed = {tag: body for tag, body in layout.pieces.items() if body.index not in layout.hosts}
    return Travels(
        side={tag: right[body.index] - left[body.index] for tag, body in pushed.items()},
        nose={tag: body.at[0] - nose[body.index] for tag, body in pushed.items()},
    )


def broken(layout: Layout, found: Travels) -> Iterator[Broken]:
    for tag, mm in found.side.items():
        if mm > TRAVEL_MM:
            message = f"{tag} travels {mm} mm from side to side"
            yield Broken("R14", f"{tag} side", message, mm)
    for tag, mm in found.nose.items():
        if mm > TRAVEL_MM:
            yield Broken("R14", f"{tag} nose", f"{tag} travels {mm} mm toward the nose", mm)
    for fill in layout.fill_places.values():
        yield from _fill(fill)


def _fill(fill: Fill) -> Iterator[Broken]:
    name, thin, long = f"fill {fill.fill}", min(fill.size_mm), max(fill.size_mm)
    if thin > THICK_MM:
        yield Broken("R14", f"{name} thick", f"{name} is {thin} mm thick")
    if thin < THIN_MM or (long > LONG_MM and thin < LONG_THIN_MM):
        message = f"{name} is {thin} mm thick and {long} mm long: too thin to hold anything"
        yield Broken("R14", f"{name} thin", message)
    length, width, height = fill.size_mm
    volume = length * width * height
    if fill.pads < 1 or fill.pads * PAD_MM3 < volume:
        message = f"{name} of {volume / 1e9:.3f} m3 has {fill.pads} pads"
        yield Broken("R14", f"{name} pads", message)


class _Push:
    """One push along an axis, toward its low end (`forward`) or its high end.

    Everything is turned so that it runs toward zero: a far end is mirrored.
    """

    def __init__(self, layout: Layout, *, axis: int, forward: bool) -> None:
        self._layout, self._axis, self._forward = layout, axis, forward
        self._across = [a for a in range(3) if a != axis]
        self._limit = layout.request.truck.interior_mm[axis]
        self._near = [self._mirrored(body.at[axis], body.size[axis]) for body in layout.bodies]
        self._where: dict[int, int] = {b.index: self._near[b.index] for b in layout.blocked}
        self._row: dict[int, int] = {}
        self._facing = self._facing_matrix()

    def _mirrored(self, low: int, size: int) -> int:
        return low if self._forward else self._limit - low - size

    def _facing_matrix(self) -> list[list[int]]:
        """For each body those that it would run into on its way."""
        one, other = (self._layout.shared[axis] for axis in self._across)
        near = np.array(self._near, dtype=np.int64)
        far = near + np.array([b.size[self._axis] for b in self._layout.bodies], dtype=np.int64)
        ahead = far[None, :] <= near[:, None] + TOLERANCE_MM
        meets = ahead & (one > TOLERANCE_MM) & (other > TOLERANCE_MM)
        found: list[list[int]] = [[] for _ in self._near]
        for i, j in np.argwhere(meets).tolist():
            found[i].append(j)
        return found

    def run(self) -> dict[int, int]:
        """The position (low end along the axis) of each piece and fill after the push."""
        things = [*self._layout.pieces.values(), *self._layout.fills.values()]
        movers = [body for body in things if body.index not in self._layout.hosts]
        stopped: dict[int, int] = {}
        for body in sorted(movers, key=lambda body: self._near[body.index]):
            near = self._near[body.index]
            at = min(self._stop(body), near)
            stopped[body.index] = self._mirrored(at, body.size[self._axis])
            # What a given piece travels too far is not the fault of what stands behind it.
            is_given = body.name in self._layout.given and body.kind is Kind.PIECE
            self._where[body.index] = max(at, near - TRAVEL_MM) if is_given else at
        return stopped

    def _stop(self, body: Body) -> int:
        """Where the body comes to rest; also notes how deep the row of rolls is that it ends."""
        axis = self._axis
        met = [
            (self._where[index] + self._layout.bodies[index].size[axis], index)
            for index in self._facing[body.index]
            if index in self._where and self._is_strut(self._layout.bodies[index])
        ]
        one, other = self._across
        face = body.size[one] * body.size[other]
        cover: list[Rectangle] = []
        stop = behind = 0
        for where, index in sorted(met, key=lambda pair: -pair[0]):
            cover.append(self._shared_face(body, self._layout.bodies[index]))
            behind = max(behind, self._row.get(index, 0))
            if 100 * covered_mm2(cover) >= FACE_PERCENT * face:
                stop = max(0, where)
                break
        if body.kind is Kind.FILL:
            self._row[body.index] = body.size[axis] + behind
        return stop

    def _is_strut(self, body: Body) -> bool:
        if body.kind is not Kind.FILL:
            return True
        return body.size[self._axis] <= STRUT_MM and self._row[body.index] <= ROW_MM

    def _shared_face(self, body: Body, met: Body) -> Rectangle:
        one, other = self._across
        return (
            max(body.at[one], met.at[one]),
            min(body.end[one], met.end[one]),
            max(body.at[other], met.at[other]),
            min(body.end[other], met.end[other]),
        )
