"""A floor of many pieces, for long schedules."""

from jobs.scheduling.solver.problem import Activity, Hold, Mode, Person, Problem

LOADER, HELPER, ANYBODY = (0, -1, -1), (-1, 0, 1), (0, 1, 2)
DOCK, TRUCK = 0, 1


def floor(pieces: int, *, places: int = 3) -> Problem:
    """Pieces that come onto a small dock, are carried, and loaded one after another."""
    activities: list[Activity] = []
    holds: list[Hold] = []
    for piece in range(pieces):
        out, carry, load = range(3 * piece, 3 * piece + 3)
        second = (ANYBODY,) * (piece % 3 == 0)
        before = (out - 3,) if piece else ()
        last = (load - 3,) if piece else ()
        takes = 20 + 7 * piece % 13
        activities += [
            Activity((Mode(takes, (0,), (HELPER,)),), before),
            Activity((Mode(25, (0,), (HELPER, *second)),), (out,), place_after=TRUCK),
            Activity(
                (Mode(30, (0,), (LOADER, *second)),),
                (carry, *last),
                place=TRUCK,
                place_after=TRUCK,
            ),
        ]
        holds.append(Hold(0, 1, out, carry))
    people = (Person(place=TRUCK), Person(((400, 460),), DOCK), Person(place=DOCK))
    return Problem(tuple(activities), (places,), tuple(holds), people, ((0, 7), (7, 0)))
