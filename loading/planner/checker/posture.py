"""R2: each piece rides in an allowed posture, at its as-loaded size, and passes the door so."""

from collections.abc import Iterator

from loading.planner.checker.layout import Layout
from loading.planner.checker.report import Broken
from loading.planner.plan import Size


def broken(layout: Layout) -> Iterator[Broken]:
    door_width, door_height = layout.request.truck.door_mm
    for tag, place in layout.placements.items():
        item = layout.item(tag)
        floor, height = turned(layout.request.as_loaded_mm(item), place.posture)
        size = place.size_mm
        if place.posture not in item.postures:
            yield Broken("R2", f"{tag} posture", f"{tag} may not ride {place.posture}")
        elif size[2] != height or tuple(sorted(size[:2])) != floor:
            asked = f"{floor[0]} x {floor[1]} x {height}"
            message = f"{tag} has size {size[0]} x {size[1]} x {size[2]}, not {asked} as loaded"
            yield Broken("R2", f"{tag} size", message)
        if size[2] > door_height or min(size[:2]) > door_width:
            yield Broken("R2", f"{tag} door", f"{tag} does not pass the door {place.posture}")


def turned(as_loaded_mm: Size, posture: str) -> tuple[tuple[int, int], int]:
    """Floor sides (the shorter first) and height of a piece in a posture; zeros if there is none
    of that name."""
    length, width, height = as_loaded_mm
    sides = {
        "standing": (length, width, height),
        "on_side": (length, height, width),
        "on_end": (width, height, length),
    }
    one, other, up = sides.get(posture, (0, 0, 0))
    return (min(one, other), max(one, other)), up
