"""What keeps each piece from going to the doors, and how hard it is pressed upon.

Pieces go toward the doors, the rearmost first, until what they meet covers a tenth of the face
turned to it (as in rule R14). One that would travel more than the void limit has to be held where
it stands. The forces that friction leaves of 0.5 g (49 CFR 393.102) then run from piece to piece
to whatever holds them: such a hold, or the strap behind the last tier.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from loading.road.facing import TOLERANCE_MM, Thing, met_mm2
from loading.road.voids import VOID_SUM_MM

FACE_SHARE = 10


@dataclass(frozen=True, slots=True)
class Rearward:
    """`loose` are the tags that have to be held; `on_end` presses on the end of the load.

    `on_loose` is the force on each loose piece, its own and that of what leans on it, as a weight
    in g.
    """

    loose: tuple[str, ...]
    on_loose: Mapping[str, Fraction]
    on_end: Fraction


def rearward(things: Sequence[Thing], end_mm: int, forces_g: Mapping[str, Fraction]) -> Rearward:
    """Follow the push of a load that ends at `end_mm`; `forces_g` by tag, as weights."""
    stops, loose = _pushed(things, end_mm)
    incoming = {index: Fraction(0) for index in range(len(things))}
    on_end = Fraction(0)
    # From the nose on: what presses on a piece is known before the piece presses on others.
    for index in sorted(incoming, key=lambda i: things[i].at_mm[0]):
        thing = things[index]
        if thing.tag in loose or not _moves(thing):
            continue
        force = incoming[index] + (forces_g.get(thing.tag, Fraction(0)) if thing.tag else 0)
        if not stops[index]:
            on_end += force
        for stop in stops[index]:
            incoming[stop] += force / len(stops[index])
    on_loose = {
        thing.tag: incoming[index] + forces_g.get(thing.tag, Fraction(0))
        for index, thing in enumerate(things)
        if thing.tag is not None and thing.tag in loose
    }
    return Rearward(tuple(on_loose), on_loose, on_end)


def _moves(thing: Thing) -> bool:
    return thing.tag is not None or thing.is_fill


def _pushed(things: Sequence[Thing], end_mm: int) -> tuple[list[list[int]], set[str]]:
    """What stops each thing (nothing: the end of the load), and the pieces to be held."""
    stops: list[list[int]] = [[] for _ in things]
    loose: set[str] = set()
    where = {index: thing.at_mm[0] for index, thing in enumerate(things) if not _moves(thing)}
    movers = [index for index, thing in enumerate(things) if _moves(thing)]
    for index in sorted(movers, key=lambda i: -things[i].end_mm(0)):
        thing = things[index]
        at, met = _stop(things, where, index, end_mm)
        travel = max(0, at - thing.end_mm(0))
        if thing.tag is not None and travel > VOID_SUM_MM:
            loose.add(thing.tag)
            travel = 0
        else:
            stops[index] = met
        where[index] = thing.at_mm[0] + travel
    return stops, loose


def _stop(
    things: Sequence[Thing], where: Mapping[int, int], index: int, end_mm: int
) -> tuple[int, list[int]]:
    """Where its rear face comes to rest, and on what (on nothing: at the end)."""
    thing, covered, met = things[index], 0, []
    behind = [
        (at, other)
        for other, at in where.items()
        if things[other].at_mm[0] >= thing.end_mm(0) - TOLERANCE_MM and things[other].stops_along(0)
    ]
    for at, other in sorted(behind):
        area = met_mm2(thing, things[other], 0)
        if not area or at >= end_mm:
            continue
        covered += area
        met.append(other)
        if FACE_SHARE * covered >= thing.face_mm2(0):
            return at, met
    return end_mm, []
