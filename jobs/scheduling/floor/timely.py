"""Handing tasks out by a schedule without taking people from what they are needed for at once."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from jobs.scheduling.assigning import Handable, Handout, Person
from jobs.scheduling.floor.handing import hand_out_scheduled
from jobs.scheduling.floor.schedule import Entry, FloorSchedule

SOON_S: Final = 45
"""Nobody begins something else so shortly before the own task (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Timely:
    """What is handed out; and when to look again because somebody was kept free, if that is so."""

    handout: Handout
    looks_at_s: int | None


def hand_out_timely(
    schedule: FloorSchedule | None,
    ready: Sequence[Handable],
    crew: Sequence[Person],
    *,
    now_s: int,
    open_needs: Mapping[str, Sequence[str]],
    in_hand: Collection[str],
) -> Timely:
    """`hand_out_scheduled`, but who is needed within SOON_S gets nothing longer until then.

    `open_needs` are the needs of all tasks that are not done, `in_hand` the keys of those that
    somebody has. Only who waits for work in somebody's hands is kept free, and not beyond SOON_S
    after the time of the schedule: so somebody is always at work, and nobody waits for ever.
    """
    handout = hand_out_scheduled(schedule, ready, crew)
    if schedule is None:
        return Timely(handout, None)
    book = _Book(schedule, now_s, open_needs, frozenset(in_hand))
    book.in_hand |= {task for task, team in handout.given if book.is_own(task, team)}
    given, looks_s = [], []
    for task, team in handout.given:
        kept = [entry for person in team if (entry := book.is_kept_for(person, task)) is not None]
        if kept:
            looks_s.append(min(entry.goes_s for entry in kept) + SOON_S)
        else:
            given.append((task, team))
    return Timely(Handout(tuple(given), handout.crew_too_small), min(looks_s, default=None))


class _Book:
    """The schedule's entries by task and the next open one of each person."""

    def __init__(
        self,
        schedule: FloorSchedule,
        now_s: int,
        open_needs: Mapping[str, Sequence[str]],
        in_hand: frozenset[str],
    ) -> None:
        self.now_s, self.open_needs, self.in_hand = now_s, open_needs, in_hand
        self.by_task = {entry.task: entry for entry in schedule.entries}
        self.next_of: dict[str, Entry] = {}
        for entry in schedule.entries:
            if entry.task in open_needs and entry.task not in in_hand:
                for person in entry.people:
                    self.next_of.setdefault(person, entry)

    def is_own(self, task: str, team: Sequence[str]) -> bool:
        """Whether this is what each of the team does next by the schedule, so that it is given."""
        own = [self.next_of.get(person) for person in team]
        return all(entry is not None and entry.task == task for entry in own)

    def is_kept_for(self, person: str, task: str) -> Entry | None:
        """The own task that somebody had better stay free for, rather than begin this one."""
        own = self.next_of.get(person)
        if own is None or own.task == task or abs(own.goes_s - self.now_s) > SOON_S:
            return None
        planned = self.by_task.get(task)
        takes_s = planned.end_s - planned.goes_s if planned else SOON_S
        if self.now_s + takes_s <= own.goes_s:
            return None
        waits_for = [need for need in self.open_needs[own.task] if need in self.open_needs]
        return own if waits_for and self.in_hand.issuperset(waits_for) else None
