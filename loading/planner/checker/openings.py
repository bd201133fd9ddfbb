"""Openings of a host, where something small may ride, in the truck's frame."""

from collections.abc import Callable, Iterator, Sequence

from loading.planner.plan import Placement, Size
from loading.planner.request import Item, LoadRequest, Opening

# Low corner and high corner.
Space = tuple[Size, Size]

_SLACK_MM = 1


def lies_within(at: Size, end: Size, space: Space) -> bool:
    low, high = space
    return all(at[a] >= low[a] - _SLACK_MM and end[a] <= high[a] + _SLACK_MM for a in range(3))


def openings_in_truck(
    request: LoadRequest, item: Item, place: Placement, guests: Sequence[Space]
) -> list[Space]:
    """The item's openings where it stands; none unless it stands.

    The plan does not say which way round a host was turned: of the quarter turns that give its
    size, the first in which every guest lies in an opening counts, or else the first.
    """
    if place.posture != "standing" or not item.openings:
        return []
    turns = [
        [_moved(space, place.at_mm) for space in turn]
        for floor, turn in _turns(request, item)
        if floor == place.size_mm[:2]
    ]
    for turn in turns:
        if all(any(lies_within(*guest, space) for space in turn) for guest in guests):
            return turn
    return turns[0] if turns else []


def _turns(request: LoadRequest, item: Item) -> Iterator[tuple[tuple[int, int], list[Space]]]:
    """The four quarter turns: floor size, and the openings from the low corner."""
    length, width, _ = request.as_loaded_mm(item)
    spaces = [_in_pads(opening, request.pad_mm if item.wrap else 0) for opening in item.openings]
    yield (length, width), spaces
    yield (width, length), [_turned(space, lambda x, y: (width - y, x)) for space in spaces]
    yield (
        (length, width),
        [_turned(space, lambda x, y: (length - x, width - y)) for space in spaces],
    )
    yield (width, length), [_turned(space, lambda x, y: (y, length - x)) for space in spaces]


def _in_pads(opening: Opening, pad_mm: int) -> Space:
    """Under a pad everything shifts by it; what begins at the ground still does, and grows."""
    (x, y, z), (length, width, height) = opening.at_mm, opening.size_mm
    x, y, top = x + pad_mm, y + pad_mm, z + height + pad_mm
    return (x, y, z + pad_mm if z > 0 else 0), (x + length, y + width, top)


def _turned(space: Space, turn: Callable[[int, int], tuple[int, int]]) -> Space:
    """Both corners turned about the vertical axis, and put in order again."""
    (x0, y0, z0), (x1, y1, z1) = space
    (a0, b0), (a1, b1) = turn(x0, y0), turn(x1, y1)
    return (min(a0, a1), min(b0, b1), z0), (max(a0, a1), max(b0, b1), z1)


def _moved(space: Space, by: Size) -> Space:
    (x0, y0, z0), (x1, y1, z1) = space
    x, y, z = by
    return (x0 + x, y0 + y, z0 + z), (x1 + x, y1 + y, z1 + z)
