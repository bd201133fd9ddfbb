"""Made-up days: jobs of several sizes at several places, and one pool of people."""

from __future__ import annotations

import random

from jobs.scheduling.day import DayJob, DayPerson, DayRequest, takes_by_people

HOUR_S = 3600


def day_of(*, jobs: int, people: int, seed: int) -> DayRequest:
    """A third of the people are loaders; shifts begin at 6, 7 or 8 and last ten hours.

    A job is 3 to 12 hours of work for one, done by two to six; every fourth must be over by 14.
    """
    rng = random.Random(f"{jobs}-{people}-{seed}")
    places = ["branch", *(f"dock {number}" for number in range(1, 9))]
    at = {place: (rng.uniform(0, 30), rng.uniform(0, 30)) for place in places}
    travel_s = {
        (one, other): round(
            60 * (5 + abs(at[one][0] - at[other][0]) + abs(at[one][1] - at[other][1]))
        )
        for number, one in enumerate(places)
        for other in places[number + 1 :]
    }
    return DayRequest(
        jobs=tuple(
            DayJob(
                key=f"J{number:02d}",
                place=rng.choice(places[1:]),
                takes_s=takes_by_people(rng.randint(3 * HOUR_S, 12 * HOUR_S), minimum=2, most=6),
                window_s=(6 * HOUR_S, (14 if number % 4 == 0 else 20) * HOUR_S),
            )
            for number in range(jobs)
        ),
        people=tuple(_person(number, rng) for number in range(people)),
        travel_s=travel_s,
    )


def _person(number: int, rng: random.Random) -> DayPerson:
    skills = {"helper", "loader"} if number % 3 == 0 else {"helper"}
    from_s = rng.choice((6, 7, 8)) * HOUR_S
    return DayPerson(f"P{number:02d}", frozenset(skills), from_s, from_s + 10 * HOUR_S)
