"""A container-loading instance: one container, box types with counts, the most volume wins."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

Size = tuple[int, int, int]

# Box coordinates are packed three to a 64-bit word (see catalogue.py): 20 bits an edge and a guard.
LONGEST_EDGE = (1 << 20) - 1
MOST_BOXES = 2000


class InstanceError(ValueError):
    """An instance that cannot be used; `key` names the value at fault, `message` says why."""

    def __init__(self, key: str, message: str) -> None:
        super().__init__(f"{key}: {message}")
        self.key = key
        self.message = message


@dataclass(frozen=True, slots=True)
class BoxType:
    """Boxes of one size. `upright[k]` tells whether edge k of `size` may stand upright."""

    size: Size
    upright: tuple[bool, bool, bool]
    count: int

    @property
    def volume(self) -> int:
        return math.prod(self.size)

    def orientations(self) -> tuple[Size, ...]:
        """The distinct (dx, dy, dz) in which a box may lie."""
        found: dict[Size, None] = {}
        for vertical in range(3):
            if self.upright[vertical]:
                one, two = (self.size[k] for k in range(3) if k != vertical)
                found[(one, two, self.size[vertical])] = None
                found[(two, one, self.size[vertical])] = None
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Instance:
    """A validated instance; build it with `Instance.of`. All lengths share one integer unit."""

    set_name: str
    number: int
    container: Size
    boxes: tuple[BoxType, ...]

    @property
    def volume(self) -> int:
        return math.prod(self.container)

    def unit(self) -> int:
        """The largest length of which every edge is a multiple: searching in it changes nothing."""
        return math.gcd(*self.container, *(edge for box in self.boxes for edge in box.size))

    @staticmethod
    def of(document: object) -> Instance:
        """Read one JSON object of the Bischoff and Ratcliff form; InstanceError if it is bad."""
        fields = _mapping(document, "instance")
        name = fields.get("set")
        if not isinstance(name, str):
            raise InstanceError("set", "must be a text")
        boxes = fields.get("boxes")
        if not isinstance(boxes, list) or not boxes:
            raise InstanceError("boxes", "must be a list of at least one box type")
        types = tuple(_box(box, f"boxes[{index}]") for index, box in enumerate(boxes))
        if sum(box.count for box in types) > MOST_BOXES:
            raise InstanceError("boxes", f"more than {MOST_BOXES} boxes")
        number = _whole(fields, "instance", "instance", least=0)
        return Instance(name, number, _container(fields.get("container")), types)


def _container(value: object) -> Size:
    if not isinstance(value, list) or len(value) != 3:
        raise InstanceError("container", "must be a list of length, width and height")
    edges = {f"container[{k}]": edge for k, edge in enumerate(value)}
    length, width, height = (_whole(edges, key, key, least=1) for key in edges)
    return (length, width, height)


def _box(value: object, where: str) -> BoxType:
    fields = _mapping(value, where)
    length, width, height = (_whole(fields, key, f"{where}.{key}", least=1) for key in "lwh")
    upright = fields.get("vertical")
    if not isinstance(upright, list) or len(upright) != 3 or any(v not in (0, 1) for v in upright):
        raise InstanceError(f"{where}.vertical", "must be three values, each 0 or 1")
    if not any(upright):
        raise InstanceError(f"{where}.vertical", "one edge at least must be allowed upright")
    count = _whole(fields, "count", f"{where}.count", least=0)
    return BoxType((length, width, height), (*map(bool, upright),), count)  # type: ignore[arg-type]


def _mapping(value: object, where: str) -> Mapping[str, object]:
    if not isinstance(value, dict):
        raise InstanceError(where, "must be an object")
    return value


def _whole(fields: Mapping[str, object], key: str, where: str, *, least: int) -> int:
    value = fields.get(key)
    if isinstance(value, bool) or not isinstance(value, int):
        raise InstanceError(where, "must be a whole number")
    if not least <= value <= LONGEST_EDGE:
        raise InstanceError(where, f"must lie between {least} and {LONGEST_EDGE}")
    return value
