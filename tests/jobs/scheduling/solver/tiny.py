"""Tiny cases drawn at random, and their optimum by trying everything."""

import itertools
from collections.abc import Iterator

from hypothesis import strategies as st

from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem


@st.composite
def floors(draw: st.DrawFn) -> Problem:
    people = draw(st.integers(1, 3))
    seat = st.lists(st.sampled_from([-1, 0]), min_size=people, max_size=people).map(
        lambda ranks: tuple(ranks) if 0 in ranks else (0,) * people
    )
    seats = st.lists(seat, min_size=1, max_size=min(2, people)).filter(_can_be_filled)
    place, length = st.integers(0, 1), st.integers(1, 20)
    activities = [
        Activity(
            tuple(
                Mode(draw(length), (), tuple(draw(seats))) for _ in range(draw(st.integers(1, 2)))
            ),
            tuple(draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else ()),
            release=draw(st.sampled_from([0, 0, 7])),
            place=draw(place),
            place_after=draw(place),
        )
        for number in range(draw(st.integers(1, 3)))
    ]
    there, back = draw(st.integers(0, 12)), draw(st.integers(0, 12))
    return Problem(
        tuple(activities),
        people=tuple(Person(place=draw(place)) for _ in range(people)),
        travel=((0, there), (back, 0)),
    )


def _can_be_filled(seats: list[tuple[int, ...]]) -> bool:
    return bool(list(_teams(Mode(1, (), tuple(seats)))))


def _teams(mode: Mode) -> Iterator[tuple[int, ...]]:
    people = [[person for person, rank in enumerate(seat) if rank >= 0] for seat in mode.seats]
    return (team for team in itertools.product(*people) if len(set(team)) == len(team))


def shortest(problem: Problem) -> int:
    """The least end of all orders, modes and teams; each begins as early as these let it."""
    count = len(problem.activities)
    ways = [
        [(mode.duration, team) for mode in activity.modes for team in _teams(mode)]
        for activity in problem.activities
    ]
    orders = [
        order
        for order in itertools.permutations(range(count))
        if all(
            order.index(need) < order.index(number)
            for number in order
            for need in problem.activities[number].needs
        )
    ]
    return min(
        _end(problem, order, chosen) for order in orders for chosen in itertools.product(*ways)
    )


def _end(
    problem: Problem, order: tuple[int, ...], chosen: tuple[tuple[int, tuple[int, ...]], ...]
) -> int:
    ends: dict[int, int] = {}
    free = [0] * len(problem.people)
    where = [person.place for person in problem.people]
    for number in order:
        activity, (takes, team) = problem.activities[number], chosen[number]
        before = [*(ends[need] for need in activity.needs), *(free[person] for person in team)]
        goes = max([activity.release, *before])
        way = max(problem.travel[where[person]][activity.place] for person in team)
        ends[number] = goes + way + takes
        for person in team:
            free[person], where[person] = ends[number], activity.place_after
    return max(ends.values())
