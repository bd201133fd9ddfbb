"""What of a rectangle can be seen behind others, and where in it a label fits best."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from loading.pictures.svg import BOLD_SIGN_EM

UPRIGHT_MM = 100  # a label that can be this high upright is never turned


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle in the picture's plane, millimetres, y downward."""

    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        return self.x + self.width

    @property
    def bottom(self) -> int:
        return self.y + self.height

    @property
    def middle(self) -> tuple[float, float]:
        return self.x + self.width / 2, self.y + self.height / 2

    def meets(self, other: "Rect") -> bool:
        return (
            self.x < other.right
            and other.x < self.right
            and self.y < other.bottom
            and other.y < self.bottom
        )


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a label goes: within `rect`, upright or turned, at most `font` high."""

    rect: Rect
    font: float
    turned: bool


def label_spot(rect: Rect, before: Sequence[Rect], signs: int) -> Spot | None:
    """The visible place of `rect` that takes a label of so many signs largest.

    `before` are the rectangles drawn over it. None when nothing of it can be seen.
    """
    spots = (_spot(seen, signs) for seen in _seen_rects(rect, before))
    return max(spots, key=lambda spot: (spot.font, -spot.rect.y, -spot.rect.x), default=None)


def _spot(rect: Rect, signs: int) -> Spot:
    upright = _font(rect.width, rect.height, signs)
    turned = _font(rect.height, rect.width, signs)
    # Turned text is slower to read, so it must be clearly larger.
    if upright < UPRIGHT_MM and turned > 1.3 * upright:
        return Spot(rect, turned, True)
    return Spot(rect, upright, False)


def _font(along: float, across: float, signs: int) -> float:
    return min(0.86 * along / (BOLD_SIGN_EM * signs), 0.8 * across)


def _seen_rects(rect: Rect, before: Sequence[Rect]) -> Iterator[Rect]:
    """The rectangles that lie in the visible part and cannot be made taller or wider."""
    hiding = [other for other in before if other.meets(rect)]
    xs = _cuts(rect.x, rect.right, [(other.x, other.right) for other in hiding])
    ys = _cuts(rect.y, rect.bottom, [(other.y, other.bottom) for other in hiding])
    free_since = [ys[0]] * (len(xs) - 1)
    for top, bottom in pairwise(ys):
        for column, (left, right) in enumerate(pairwise(xs)):
            cell = Rect(left, top, right - left, bottom - top)
            if any(other.meets(cell) for other in hiding):
                free_since[column] = bottom
        yield from _above(bottom, xs, free_since)


def _above(bottom: int, xs: list[int], free_since: list[int]) -> Iterator[Rect]:
    """The widest rectangles over each stretch of columns that are free down to `bottom`."""
    for column, since in enumerate(free_since):
        if since >= bottom:
            continue
        first = last = column
        while first > 0 and free_since[first - 1] <= since:
            first -= 1
        while last + 1 < len(free_since) and free_since[last + 1] <= since:
            last += 1
        yield Rect(xs[first], since, xs[last + 1] - xs[first], bottom - since)


def _cuts(low: int, high: int, spans: list[tuple[int, int]]) -> list[int]:
    inner = {cut for span in spans for cut in span if low < cut < high}
    return [low, *sorted(inner), high]
