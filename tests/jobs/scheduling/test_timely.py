"""Nobody is sent away from what he or she is needed for at once, and nobody waits for ever."""

from collections.abc import Sequence
from dataclasses import dataclass

import pytest

from jobs.scheduling.assigning import Person
from jobs.scheduling.floor import SOON_S, Entry, FloorSchedule, Timely, hand_out_timely


@dataclass(frozen=True)
class Ready:
    key: str
    kind: str = "unpack"
    people: int = 1


CREW = (Person("hugo", "helper"), Person("wim", "warehouse", busy=True))
NEEDS = {"clear:V1": (), "carry:1": ("clear:V1",), "unpack:2": (), "unpack:3": ()}
"""Wim clears V1, then Hugo carries; meanwhile 2 and 3 could be unpacked."""


def schedule(*, goes_s: int = 100, other_s: int = 60) -> FloorSchedule:
    """Hugo carries at `goes_s`; Wim would unpack 2 after that, which takes `other_s`."""
    later = goes_s + 200
    return FloorSchedule(
        (
            Entry("carry:1", ("hugo",), goes_s, goes_s, goes_s + 60),
            Entry("unpack:2", ("wim",), later, later, later + other_s),
        ),
        later + other_s,
        0,
    )


def hand(
    made: FloorSchedule | None,
    now_s: int,
    *ready: Ready,
    in_hand: Sequence[str] = ("clear:V1",),
) -> Timely:
    return hand_out_timely(
        made, ready, CREW, now_s=now_s, open_needs=NEEDS, in_hand=frozenset(in_hand)
    )


@pytest.mark.parametrize("now_s", [100 - SOON_S, 100, 100 + SOON_S])
def test_who_is_needed_soon_is_kept_free(now_s: int) -> None:
    timely = hand(schedule(), now_s, Ready("unpack:2"))
    assert timely.handout.given == ()
    assert timely.looks_at_s == 100 + SOON_S


@pytest.mark.parametrize(
    "now_s", [100 - SOON_S - 1, 100 + SOON_S + 1], ids=["long before", "long overdue"]
)
def test_who_is_needed_much_later_or_was_long_ago_gets_something_else(now_s: int) -> None:
    timely = hand(schedule(), now_s, Ready("unpack:2"))
    assert timely == Timely(timely.handout, None)
    assert timely.handout.given == (("unpack:2", ("hugo",)),)


def test_what_is_done_in_time_is_given_all_the_same() -> None:
    timely = hand(schedule(other_s=20), 75, Ready("unpack:2"))
    assert timely.handout.given == (("unpack:2", ("hugo",)),)


def test_nobody_is_kept_for_what_nobody_is_at_work_on() -> None:
    timely = hand(schedule(), 100, Ready("unpack:2"), in_hand=())
    assert timely.handout.given == (("unpack:2", ("hugo",)),)


def test_the_own_task_is_given_as_soon_as_it_is_ready() -> None:
    timely = hand(schedule(), 100, Ready("unpack:2"), Ready("carry:1", "carry"))
    assert timely.handout.given == (("carry:1", ("hugo",)),)


def test_what_the_schedule_does_not_know_keeps_nobody_from_the_own_task() -> None:
    assert hand(schedule(), 100, Ready("unpack:3")).handout.given == ()
    assert hand(None, 100, Ready("unpack:3")).handout.given == (("unpack:3", ("hugo",)),)


def test_who_waits_for_what_is_given_just_now_is_kept_free_as_well() -> None:
    both_free = (Person("hugo", "helper"), Person("wim", "warehouse"))
    made = FloorSchedule((Entry("clear:V1", ("wim",), 80, 80, 100), *schedule().entries), 360, 0)
    timely = hand_out_timely(
        made,
        (Ready("clear:V1", "clear"), Ready("unpack:2")),
        both_free,
        now_s=80,
        open_needs=NEEDS,
        in_hand=(),
    )
    assert timely.handout.given == (("clear:V1", ("wim",)),)
