"""The checker of schedules finds every kind of fault that is put into a good one."""

from dataclasses import replace

import pytest

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.solver.problem import Activity, Hold, Mode, Person, Problem, Schedule, Start

SEAT = (0, 0)
FIRST_ONLY = (0, -1)
PROBLEM = Problem(
    activities=(
        Activity((Mode(5, (1,), (FIRST_ONLY,)),)),
        Activity((Mode(3, (1,), (SEAT,)),), needs=(0,), place=1, place_after=1),
        Activity((Mode(2, (2,), (SEAT,)),), release=4),
    ),
    capacities=(2,),
    holds=(Hold(0, 1, 0, 1),),
    people=(Person(), Person(((0, 6),))),
    travel=((0, 1), (1, 0)),
)
GOOD = Schedule(
    (
        Start(0, 0, 0, 5, (0,)),
        Start(0, 6, 7, 10, (1,)),
        Start(0, 10, 10, 12, (0,)),
    )
)


def test_a_good_schedule_breaks_nothing() -> None:
    assert broken_rules(PROBLEM, GOOD) == ()


@pytest.mark.parametrize(
    ("number", "change", "said"),
    [
        (0, {"ends": 4}, "does not take as long as its mode"),
        (0, {"mode": 1}, "has no mode 1"),
        (0, {"team": (1,)}, "somebody who may not"),
        (0, {"team": ()}, "wrong number of people"),
        (1, {"goes": 4}, "before 0 has ended"),
        (1, {"goes": 7}, "cannot be there"),
        (1, {"goes": 5, "begins": 6, "ends": 9}, "person 1 is not there"),
        (2, {"goes": 3, "begins": 3, "ends": 5}, "begins too early"),
        (2, {"goes": 9, "begins": 9, "ends": 11}, "more than 2 of resource 0"),
    ],
)
def test_each_fault_is_found(number: int, change: dict[str, object], said: str) -> None:
    starts = list(GOOD.starts)
    starts[number] = replace(starts[number], **change)  # type: ignore[type-var]
    assert any(said in fault for fault in broken_rules(PROBLEM, Schedule(tuple(starts))))


def test_one_person_does_one_thing_at_a_time() -> None:
    two = Problem((Activity((Mode(5, (), ((0,),)),)),) * 2, people=(Person(),))
    both = Schedule((Start(0, 0, 0, 5, (0,)), Start(0, 4, 4, 9, (0,))))
    assert broken_rules(two, both) == ("person 0 does two activities at once when 1 begins",)


def test_a_schedule_of_another_length_is_refused() -> None:
    assert broken_rules(PROBLEM, Schedule(())) == ("0 starts for 3 activities",)
