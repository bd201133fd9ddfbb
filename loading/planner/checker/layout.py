"""Where everything stands, in the form that the rules read."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loading.planner.checker.openings import Space, lies_within, openings_in_truck
from loading.planner.plan import Fill, Placement, Size
from loading.planner.request import Item, LoadRequest

# Shared space, or a step in height, of up to this much is overlooked (R3).
TOLERANCE_MM = 1
# A top this far below a bottom still carries it (R4).
GAP_UNDER_MM = 10

Mask = NDArray[np.bool_]


class Kind(Enum):
    PIECE = "piece"
    FILL = "fill"
    BLOCKED = "blocked"
    # A place that a piece had before the plan took it out of the truck.
    FORMER = "former"


@dataclass(frozen=True, slots=True)
class Body:
    """A box in the truck. `name` is a tag, "fill 3", or the name of a blocked box."""

    index: int
    kind: Kind
    name: str
    at: Size
    size: Size

    @property
    def end(self) -> Size:
        (x, y, z), (length, width, height) = self.at, self.size
        return x + length, y + width, z + height

    @property
    def bottom_mm2(self) -> int:
        return self.size[0] * self.size[1]

    @property
    def volume_mm3(self) -> int:
        return self.size[0] * self.size[1] * self.size[2]


class Layout:
    """The bodies in the truck and, for each pair of them, how they lie to each other.

    `given` are the tags whose place the progress settled; `former` the places that pieces had
    before they were taken out (no static rule looks at those).
    """

    def __init__(
        self,
        request: LoadRequest,
        placements: Iterable[Placement],
        fills: Iterable[Fill],
        *,
        given: frozenset[str] = frozenset(),
        former: Iterable[Placement] = (),
    ) -> None:
        self.request, self.given = request, given
        self.placements = {p.tag: p for p in placements if request.has_item(p.tag)}
        self.fill_places = {fill.fill: fill for fill in fills}
        self.bodies: list[Body] = []
        self.pieces = {
            tag: self._add(Kind.PIECE, tag, place.at_mm, place.size_mm)
            for tag, place in self.placements.items()
        }
        self.fills = {
            number: self._add(Kind.FILL, f"fill {number}", fill.at_mm, fill.size_mm)
            for number, fill in self.fill_places.items()
        }
        self.blocked = [
            self._add(Kind.BLOCKED, box.name, box.at_mm, box.size_mm)
            for box in request.truck.blocked
        ]
        self.former = {
            place.tag: self._add(Kind.FORMER, place.tag, place.at_mm, place.size_mm)
            for place in former
        }
        self.present = np.array([b.kind is not Kind.FORMER for b in self.bodies], dtype=np.bool_)

    def _add(self, kind: Kind, name: str, at: Size, size: Size) -> Body:
        body = Body(len(self.bodies), kind, name, at, size)
        self.bodies.append(body)
        return body

    def item(self, tag: str) -> Item:
        return self.request.item(tag)

    @cached_property
    def _ends(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        low = np.array([body.at for body in self.bodies], dtype=np.int64).reshape(-1, 3)
        size = np.array([body.size for body in self.bodies], dtype=np.int64).reshape(-1, 3)
        return low, low + size

    @cached_property
    def shared(self) -> tuple[NDArray[np.int64], ...]:
        """Per axis, how many mm each two bodies share along it (negative: the gap)."""
        low, high = self._ends
        return tuple(
            np.minimum(high[:, None, axis], high[None, :, axis])
            - np.maximum(low[:, None, axis], low[None, :, axis])
            for axis in range(3)
        )

    @cached_property
    def meeting(self) -> Mask:
        """[i, j]: the two share space."""
        x, y, z = self.shared
        found: Mask = (x > TOLERANCE_MM) & (y > TOLERANCE_MM) & (z > TOLERANCE_MM)
        np.fill_diagonal(found, val=False)
        return found

    @cached_property
    def ahead(self) -> Mask:
        """[i, j]: j stands on the straight path between the doors and the place of i."""
        low, high = self._ends
        _, y, z = self.shared
        doors = self.request.truck.interior_mm[0]
        length = np.minimum(high[None, :, 0], doors) - np.maximum(low[:, None, 0], low[None, :, 0])
        found: Mask = (length > TOLERANCE_MM) & (y > TOLERANCE_MM) & (z > TOLERANCE_MM)
        np.fill_diagonal(found, val=False)
        return found

    @cached_property
    def barring(self) -> Mask:
        """[i, j]: j keeps i from going straight in or out.

        A host and its guest do not bar each other: the guest lies in its opening, so it does as
        seen from the doors (R7).
        """
        found: Mask = self.ahead.copy()
        for guest, host in self.hosts.items():
            found[guest, host] = found[host, guest] = False
        return found

    @cached_property
    def touching(self) -> Mask:
        """[i, j]: i rests on the top of j, with some area."""
        low, high = self._ends
        x, y, _ = self.shared
        gap = low[:, None, 2] - high[None, :, 2]
        found: Mask = (gap >= -TOLERANCE_MM) & (gap <= GAP_UNDER_MM) & (x > 0) & (y > 0)
        np.fill_diagonal(found, val=False)
        return found

    @cached_property
    def under(self) -> list[list[int]]:
        """For each body the bodies whose tops it touches."""
        found: list[list[int]] = [[] for _ in self.bodies]
        for i, j in np.argwhere(self.touching).tolist():
            found[i].append(j)
        return found

    def openings(self, tag: str) -> list[Space]:
        """The openings of a placed piece in the truck's frame, in the turn that its guests fit."""
        return self._openings[tag]

    @cached_property
    def _openings(self) -> dict[str, list[Space]]:
        guests: dict[str, list[Body]] = {}
        for tag, place in self.placements.items():
            if place.inside is not None:
                guests.setdefault(place.inside, []).append(self.pieces[tag])
        return {
            tag: openings_in_truck(
                self.request,
                self.item(tag),
                place,
                [(guest.at, guest.end) for guest in guests.get(tag, ())],
            )
            for tag, place in self.placements.items()
        }

    @cached_property
    def hosts(self) -> dict[int, int]:
        """Guest to host, by index, for each piece that lies in an opening as it says; a guest
        takes no guest."""
        found: dict[int, int] = {}
        for tag, place in self.placements.items():
            host = self.pieces.get(place.inside) if place.inside is not None else None
            if host is None or host.name == tag:
                continue
            body = self.pieces[tag]
            if any(lies_within(body.at, body.end, space) for space in self.openings(host.name)):
                found[body.index] = host.index
        return {guest: host for guest, host in found.items() if host not in found}
