"""Long schedules, made side by side."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.solver.annealing import improve
from jobs.scheduling.solver.bounds import gauges_of, lower_bound
from jobs.scheduling.solver.guides import guide_of
from jobs.scheduling.solver.listing import first_schedule
from jobs.scheduling.solver.problem import Activity, Hold, Mode, Person, Problem, Schedule
from jobs.scheduling.solver.tables import schedule_of, tables_of
from jobs.scheduling.solver.tariffs import tariffs_of
from jobs.scheduling.solver.widening import Widening
from loading.planner.stopping import Iterations
from tests.jobs.scheduling.solver.pieces import DOCK, TRUCK, floor
from tests.jobs.scheduling.solver.tiny import floors, shortest

ALWAYS = 1 << 40


def widened(problem: Problem, times: int = 1) -> Schedule | None:
    """The best of so many times, or None where nothing came to its end."""
    tables, gauges = tables_of(problem), gauges_of(problem)
    wide = Widening(tables, guide_of(problem, tariffs_of(problem, gauges)), 1000, 1)
    while wide.times < times:
        wide.advance(lambda: 0.0)
    return None if wide.best is None else schedule_of(tables, wide.best)


def test_it_keeps_the_rules_and_is_better_than_the_first() -> None:
    problem = floor(45)
    found = improve(problem, seed=1, stop=Iterations(20))
    assert broken_rules(problem, found) == ()
    assert found.left_over == ()
    assert lower_bound(problem) <= found.end < first_schedule(problem).end


def test_the_same_seed_gives_the_same() -> None:
    problem = floor(45, places=2)
    one, other = (improve(problem, seed=3, stop=Iterations(60)) for _ in range(2))
    assert one == other


def test_it_begins_with_the_former_one() -> None:
    problem = floor(45)
    former = improve(problem, seed=1, stop=Iterations(20))
    again = improve(problem, seed=2, stop=Iterations(0), former=former)
    assert again.end <= first_schedule(problem).end


def test_what_nobody_can_do_is_left_over_and_all_else_is_done() -> None:
    problem = floor(45)
    home = (*problem.people[:2], Person(((500, ALWAYS),), DOCK))
    gone = replace(problem, people=tuple(replace(p, absences=((500, ALWAYS),)) for p in home))
    assert widened(gone, 2) is None
    found = improve(gone, seed=1, stop=Iterations(20))
    assert broken_rules(gone, found) == ()
    assert 0 < len(found.left_over) <= len(first_schedule(gone).left_over)


def test_each_time_keeps_more_or_less_of_the_best_and_is_never_worse() -> None:
    problem = floor(20)
    tables = tables_of(problem)
    wide = Widening(tables, guide_of(problem, tariffs_of(problem, gauges_of(problem))), 1000, 1)
    costs, kept = [], set()
    while wide.times < 8:
        wide.advance(lambda: 0.0)
        costs.append(wide.cost)
        kept.add(wide.kept)
    assert costs == sorted(costs, reverse=True)
    assert len(kept) > 4


def test_who_is_kept_for_work_does_no_other_before() -> None:
    anybody = (0, 0)
    work = Activity((Mode(10, (), (anybody,)),))
    kept = Activity((Mode(10, (), (anybody,)),), team=(1,), release=40)
    found = widened(Problem((work, work, work, kept), people=(Person(), Person())))
    assert found is not None
    assert [start.team for start in found.starts if start] == [(0,), (0,), (0,), (1,)]


def test_two_come_together_and_wait_for_who_walks_longer() -> None:
    both = Activity((Mode(10, (), ((0, -1), (-1, 0))),), place=TRUCK)
    people = (Person(place=TRUCK), Person(((3, 20),), DOCK))
    found = widened(Problem((both,), people=people, travel=((0, 7), (7, 0))))
    assert found is not None
    assert [(start.goes, start.begins, start.ends) for start in found.starts if start] == [
        (20, 27, 37)
    ]


def test_a_small_dock_is_never_locked() -> None:
    mode, order = Mode(5, (0,), ((0,),)), [1, 0, 3, 2, 5, 4]
    out = [Activity((mode,)) for _ in order]
    loaded = [Activity((mode,), (0, 7)), Activity((mode,), (1,))]
    for number in range(2, 6):
        before = order[order.index(number) - 1]
        loaded.append(Activity((mode,), (number, 6 + before)))
    holds = tuple(Hold(0, 1, number, 6 + number) for number in range(6))
    problem = Problem((*out, *loaded), (2,), holds, (Person(),))
    found = widened(problem)
    assert found is not None
    assert broken_rules(problem, found) == ()


@given(floors())
def test_no_schedule_is_shorter_than_the_shortest(problem: Problem) -> None:
    found = widened(problem, 2)
    assert found is not None
    assert broken_rules(problem, found) == ()
    assert shortest(problem) <= found.end


@st.composite
def crowded(draw: st.DrawFn) -> Problem:
    """Work with holds, amounts, absences, releases, dates and people that it is kept for."""
    people = draw(st.integers(1, 4))
    length, somebody = st.integers(1, 15), st.integers(0, people - 1)
    activities: list[Activity] = []
    holds: list[Hold] = []
    for number in range(draw(st.integers(1, 12))):
        seats = draw(st.integers(0, min(2, people)))
        team = tuple(sorted(draw(st.sets(somebody, min_size=seats, max_size=seats))))
        ranks = st.tuples(*(st.integers(-1, 3) for _ in range(people)))
        modes = tuple(
            Mode(
                draw(length), (draw(st.integers(0, 1)), 0), (*(draw(ranks) for _ in range(seats)),)
            )
            for _ in range(draw(st.integers(1, 2)))
        )
        activities.append(
            Activity(
                modes,
                tuple(draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else ()),
                release=draw(st.sampled_from([0, 0, 9])),
                due=draw(st.sampled_from([None, 30])),
                place=draw(st.integers(0, 1)),
                place_after=draw(st.integers(0, 1)),
                team=team if draw(st.booleans()) else (),
            )
        )
        opens = draw(st.integers(-1, number))
        if draw(st.booleans()):
            holds.append(Hold(1, draw(st.integers(1, 2)), opens, number))
    away = st.sampled_from([(), (), ((5, 12),), ((20, 31), (40, 44)), ((60, ALWAYS),)])
    return Problem(
        tuple(activities),
        (1, draw(st.integers(2, 4))),
        tuple(hold for hold in holds if hold.opens >= 0),
        tuple(Person(draw(away), draw(st.integers(0, 1))) for _ in range(people)),
        ((0, draw(length)), (draw(length), 0)),
    )


@settings(max_examples=150)
@given(crowded())
def test_what_comes_to_its_end_keeps_all_rules(problem: Problem) -> None:
    found = widened(problem, 3)
    if found is not None:
        assert found.left_over == ()
        assert broken_rules(problem, found) == ()
