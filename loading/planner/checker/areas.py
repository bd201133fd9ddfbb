"""Areas of rectangles on a plane, exact in whole square millimetres."""

from collections.abc import Iterable, Iterator

# Low and high along one axis, low and high along the other.
Rectangle = tuple[int, int, int, int]


def area_mm2(rectangle: Rectangle) -> int:
    a0, a1, b0, b1 = rectangle
    return (a1 - a0) * (b1 - b0)


def common(one: Rectangle, other: Rectangle) -> Rectangle | None:
    """What two rectangles share, or None where that has no area."""
    a0, a1 = max(one[0], other[0]), min(one[1], other[1])
    b0, b1 = max(one[2], other[2]), min(one[3], other[3])
    return (a0, a1, b0, b1) if a0 < a1 and b0 < b1 else None


def covered_mm2(rectangles: Iterable[Rectangle]) -> int:
    """The area of a union: each rectangle adds what those before it leave of it."""
    seen: list[Rectangle] = []
    total = 0
    for rectangle in rectangles:
        rest = [rectangle]
        for other in seen:
            rest = [part for piece in rest for part in _without(piece, other)]
            if not rest:
                break
        total += sum(area_mm2(part) for part in rest)
        seen.append(rectangle)
    return total


def _without(rectangle: Rectangle, hole: Rectangle) -> Iterator[Rectangle]:
    """The parts of a rectangle outside the hole, as rectangles that do not overlap."""
    cut = common(rectangle, hole)
    if cut is None:
        yield rectangle
        return
    a0, a1, b0, b1 = rectangle
    c0, c1, d0, d1 = cut
    if a0 < c0:
        yield a0, c0, b0, b1
    if c1 < a1:
        yield c1, a1, b0, b1
    if b0 < d0:
        yield c0, c1, b0, d0
    if d1 < b1:
        yield c0, c1, d1, b1
