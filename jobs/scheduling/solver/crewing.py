"""Crews that stay together all day, compiled: people and jobs change crews by simulated annealing.

A crew is a row of people and a row of jobs in turn. All of its people go to each of its jobs, so
they are free at the same time and nobody waits for another between two jobs.
"""

from typing import NamedTuple

import numpy as np

from jobs.scheduling.solver.kernel import bare
from jobs.scheduling.solver.tables import FAR, Array

CANNOT = 1e7
"""The price of a job that the crew cannot do, or that somebody is away for."""
LATE = 20.0
_JOBS = 0.65
"""So often it is jobs that change crews, and not people."""


class Crews(NamedTuple):
    """Crews as arrays; the last two rows are room to try changes in."""

    people: Array  # (crew, place in it)
    size: Array
    jobs: Array  # (crew, turn)
    turns: Array
    cost: Array


@bare
def change(tables, since, crews, best, team, near, heat, tries, seed):  # type: ignore[no-untyped-def]
    """Try so many changes at the temperature `heat`; `best` is kept up to date."""
    np.random.seed(seed)
    count = len(crews.size) - 2
    energy = _energy(crews.cost, count, -1, -1, near)
    least = best.cost[_last(best.cost, count)]
    for _ in range(tries):
        one, other = np.random.randint(0, count), np.random.randint(0, count)
        if np.random.random() < 0.5:
            one = _last(crews.cost, count)
        if not _changed(crews, one, other, count):
            continue
        cost_of(tables, since, crews, count, team)
        if one == other:
            crews.cost[count + 1] = crews.cost[count]
        else:
            cost_of(tables, since, crews, count + 1, team)
        then = _energy(crews.cost, count, one, other, near)
        if then > energy - heat * np.log(1.0 - np.random.random()):
            continue
        energy = then
        _copy(crews, count, crews, one)
        if one != other:
            _copy(crews, count + 1, crews, other)
        last = crews.cost[_last(crews.cost, count)]
        if last < least:
            least = last
            for crew in range(count):
                _copy(crews, crew, best, crew)


@bare
def cost_of(tables, since, crews, crew, team):  # type: ignore[no-untyped-def]
    """When the crew ends, with a price on what it does late and what it cannot do."""
    cost, free = 0.0, 0
    for k in range(crews.size[crew]):
        free = max(free, since[crews.people[crew, k]])
    where = -1
    for turn in range(crews.turns[crew]):
        job = crews.jobs[crew, turn]
        mode = seated(tables, crews, crew, job, team)
        if mode < 0:
            cost += CANNOT
            continue
        goes = max(free, tables.release[job])
        begins = goes + way(tables, crews, crew, where, tables.place[job])
        free, where = begins + tables.duration[mode], tables.place_after[job]
        cost += LATE * max(0, free - tables.due[job])
        for k in range(crews.size[crew]):
            person = crews.people[crew, k]
            for a in range(tables.away_at[person], tables.away_at[person + 1]):
                if goes < tables.away[a, 1] and tables.away[a, 0] < free:
                    cost += CANNOT
    crews.cost[crew] = cost + free


@bare
def _last(cost, count):  # type: ignore[no-untyped-def]
    """The crew that ends last."""
    last = 0
    for crew in range(1, count):
        if cost[crew] > cost[last]:
            last = crew
    return last


@bare
def way(tables, crews, crew, where, place):  # type: ignore[no-untyped-def]
    """From where the crew is, at first everybody from home, until all are there."""
    if where >= 0:
        return tables.travel[where, place]
    longest = 0
    for k in range(crews.size[crew]):
        longest = max(longest, tables.travel[tables.home[crews.people[crew, k]], place])
    return longest


@bare
def seated(tables, crews, crew, job, team):  # type: ignore[no-untyped-def]
    """The mode in which all of the crew do the job, `team` by its seats; -1 if they cannot.

    Seats that fewer of them may take are filled first, each with the lowest rank.
    """
    size = crews.size[crew]
    for mode in range(tables.mode_at[job], tables.mode_at[job + 1]):
        if tables.seat_at[mode + 1] - tables.seat_at[mode] == size and _fill(
            tables, crews, crew, mode, team
        ):
            return mode
    return -1


@bare
def _fill(tables, crews, crew, mode, team):  # type: ignore[no-untyped-def]
    size, first = crews.size[crew], tables.seat_at[mode]
    for seat in range(size):
        team[seat] = -1
    for _ in range(size):
        seat, fewest = -1, FAR
        for s in range(size):
            if team[s] >= 0:
                continue
            may = 0
            for k in range(size):
                may += tables.rank[first + s, crews.people[crew, k]] >= 0
            if may < fewest:
                seat, fewest = s, may
        least = FAR
        for k in range(size):
            person = crews.people[crew, k]
            rank = tables.rank[first + seat, person]
            if rank < 0 or rank >= least:
                continue
            taken = False
            for s in range(size):
                taken = taken or team[s] == person
            if not taken:
                least, team[seat] = rank, person
        if least == FAR:
            return False
    return True


@bare
def _changed(crews, one, other, count):  # type: ignore[no-untyped-def]
    """A job or a person goes over, or two change places, in the rows at the end; whether so."""
    _copy(crews, one, crews, count)
    _copy(crews, other, crews, count + 1)
    if np.random.random() < _JOBS:
        return _exchanged(crews.jobs, crews.turns, count, one == other)
    if one == other:
        return False
    return _exchanged(crews.people, crews.size, count, False)


@bare
def _exchanged(rows, lengths, count, alone):  # type: ignore[no-untyped-def]
    if lengths[count] == 0:
        return False
    goes = _take(rows, lengths, count)
    if alone:
        _insert(rows, lengths, count, goes)
        return True
    if np.random.random() < 0.5:
        if lengths[count + 1] == 0:
            return False
        _insert(rows, lengths, count, _take(rows, lengths, count + 1))
    if lengths[count + 1] == rows.shape[1]:
        return False
    _insert(rows, lengths, count + 1, goes)
    return True


@bare
def _take(rows, lengths, row):  # type: ignore[no-untyped-def]
    k = np.random.randint(0, lengths[row])
    taken = rows[row, k]
    lengths[row] -= 1
    for later in range(k, lengths[row]):
        rows[row, later] = rows[row, later + 1]
    return taken


@bare
def _insert(rows, lengths, row, one):  # type: ignore[no-untyped-def]
    k = np.random.randint(0, lengths[row] + 1)
    for later in range(lengths[row], k, -1):
        rows[row, later] = rows[row, later - 1]
    rows[row, k] = one
    lengths[row] += 1


@bare
def _energy(cost, count, one, other, near):  # type: ignore[no-untyped-def]
    """The last end and a little of those `near` it, with the rows at the end for one and other."""
    most = 0.0
    for crew in range(count):
        most = max(most, cost[_row(crew, one, other, count)])
    total = 0.0
    for crew in range(count):
        total += np.exp((cost[_row(crew, one, other, count)] - most) / near)
    return most + near * np.log(total)


@bare
def _row(crew, one, other, count):  # type: ignore[no-untyped-def]
    if crew == one:
        return count
    return count + 1 if crew == other else crew


@bare
def _copy(source, row, target, to):  # type: ignore[no-untyped-def]
    for k in range(source.size[row]):
        target.people[to, k] = source.people[row, k]
    for k in range(source.turns[row]):
        target.jobs[to, k] = source.jobs[row, k]
    target.size[to] = source.size[row]
    target.turns[to] = source.turns[row]
    target.cost[to] = source.cost[row]
