"""What is wrong with a schedule, found afresh: nothing here is shared with the search."""

from collections.abc import Iterator
from itertools import pairwise

from jobs.scheduling.solver.problem import Problem, Schedule, Start


def broken_rules(problem: Problem, schedule: Schedule) -> tuple[str, ...]:
    """One sentence for each rule that the schedule breaks; none where it can be worked so."""
    if len(schedule.starts) != len(problem.activities):
        return (f"{len(schedule.starts)} starts for {len(problem.activities)} activities",)
    if unknown := tuple(_mode_faults(problem, schedule)):
        return unknown
    return (
        *_order_faults(problem, schedule),
        *_amount_faults(problem, schedule),
        *_people_faults(problem, schedule),
    )


def _mode_faults(problem: Problem, schedule: Schedule) -> Iterator[str]:
    for number, start in enumerate(schedule.starts):
        if start and not 0 <= start.mode < len(problem.activities[number].modes):
            yield f"activity {number} has no mode {start.mode}"


def _order_faults(problem: Problem, schedule: Schedule) -> Iterator[str]:
    for number, (activity, start) in enumerate(
        zip(problem.activities, schedule.starts, strict=True)
    ):
        if start is None:
            continue
        if start.ends != start.begins + activity.modes[start.mode].duration:
            yield f"activity {number} does not take as long as its mode"
        if not activity.release <= start.goes <= start.begins:
            yield f"activity {number} begins too early"
        for need in activity.needs:
            before = schedule.starts[need]
            if before is None or before.ends > start.goes:
                yield f"activity {number} begins before {need} has ended"


def _amount_faults(problem: Problem, schedule: Schedule) -> Iterator[str]:
    for resource, capacity in enumerate(problem.capacities):
        changes: list[tuple[int, int]] = []
        for activity, start in zip(problem.activities, schedule.starts, strict=True):
            amounts = activity.modes[start.mode].amounts if start else ()
            if start and amounts and start.ends > start.goes:
                changes += [(start.goes, amounts[resource]), (start.ends, -amounts[resource])]
        changes += _held(problem, schedule, resource)
        level = 0
        for at, change in sorted(changes):
            level += change
            if level > capacity:
                yield f"more than {capacity} of resource {resource} are taken at {at}"
                break


def _held(problem: Problem, schedule: Schedule, resource: int) -> list[tuple[int, int]]:
    changes = []
    for hold in problem.holds:
        if hold.resource != resource:
            continue
        opens = schedule.starts[hold.opens] if hold.opens >= 0 else None
        closes = schedule.starts[hold.closes]
        if hold.opens >= 0 and opens is None:
            continue
        changes.append((opens.goes if opens else -1, hold.amount))
        if closes:
            changes.append((closes.ends, -hold.amount))
    return changes


def _people_faults(problem: Problem, schedule: Schedule) -> Iterator[str]:
    stints: list[list[tuple[Start, int]]] = [[] for _ in problem.people]
    for number, start in enumerate(schedule.starts):
        if start is None:
            continue
        yield from _team_faults(problem, number, start)
        for person in start.team:
            stints[person].append((start, number))
    for person, worked in enumerate(stints):
        yield from _stint_faults(problem, person, sorted(worked, key=lambda one: one[0].goes))


def _team_faults(problem: Problem, number: int, start: Start) -> Iterator[str]:
    activity = problem.activities[number]
    seats = activity.modes[start.mode].seats
    if len(start.team) != len(seats) or len(set(start.team)) != len(start.team):
        yield f"activity {number} is done by the wrong number of people"
        return
    if activity.team:
        if set(activity.team) != set(start.team):
            yield f"activity {number} is not done by those it is kept for"
        return
    if any(seat[person] < 0 for seat, person in zip(seats, start.team, strict=True)):
        yield f"activity {number} is done by somebody who may not"


def _stint_faults(problem: Problem, person: int, worked: list[tuple[Start, int]]) -> Iterator[str]:
    place = problem.people[person].place
    for (before, _), (after, number) in pairwise(worked):
        if after.goes < before.ends:
            yield f"person {person} does two activities at once when {number} begins"
    for start, number in worked:
        activity = problem.activities[number]
        if start.begins - start.goes < problem.travel[place][activity.place]:
            yield f"person {person} cannot be there when activity {number} begins"
        place = activity.place_after
        for away, back in problem.people[person].absences:
            if start.goes < back and away < start.ends:
                yield f"person {person} is not there during activity {number}"
