"""Handing tasks out by a schedule, between two searches."""

from collections.abc import Sequence
from dataclasses import replace

from jobs.scheduling.assigning import Handable, Handout, Person, hand_out
from jobs.scheduling.floor.schedule import FloorSchedule


def hand_out_scheduled(
    schedule: FloorSchedule | None, ready: Sequence[Handable], crew: Sequence[Person]
) -> Handout:
    """Give ready tasks to the free people the schedule names, in the order of its times.

    Whoever is free and has nothing ready in the schedule takes the most urgent ready task that
    is left, by the rules of `hand_out`, so that nobody waits because somebody else is late; a
    task on which the schedule does not know anything is handed out so as well. Without a
    schedule everything is.
    """
    if schedule is None:
        return hand_out(ready, crew)
    planned = {entry.task: entry for entry in schedule.entries}
    last = len(planned)
    order = {entry.task: place for place, entry in enumerate(schedule.entries)}
    by_time = sorted(ready, key=lambda task: order.get(task.key, last))
    free = {person.key for person in crew if not person.busy}
    given: list[tuple[str, tuple[str, ...]]] = []
    left: list[Handable] = []
    for task in by_time:
        team = planned[task.key].people if task.key in planned else ()
        if team and len(team) >= task.people and free.issuperset(team):
            free.difference_update(team)
            given.append((task.key, team))
        else:
            left.append(task)
    still = [replace(person, busy=person.key not in free) for person in crew]
    rest = hand_out(left, still)
    return Handout(given=(*given, *rest.given), crew_too_small=rest.crew_too_small)
