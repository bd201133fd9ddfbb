"""What time and work are worth: by hand, and that no tiny case ends before all is paid for."""

import pytest
from hypothesis import given

from jobs.scheduling.solver.bounds import gauges_of
from jobs.scheduling.solver.guides import guide_of
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem
from jobs.scheduling.solver.tariffs import Tariff, paid_for, tariffs_of
from tests.jobs.scheduling.solver.pieces import floor
from tests.jobs.scheduling.solver.tiny import floors, shortest

FIRST, SECOND, ANYBODY = (0, -1, -1), (-1, 0, 0), (0, 0, 0)


def alone(seconds: int, *seats: tuple[int, ...]) -> Activity:
    return Activity((Mode(seconds, (), seats),))


def test_who_helps_at_a_loss_is_worth_less_a_second() -> None:
    either = Activity((Mode(70, (), (SECOND,)), Mode(54, (), (SECOND, ANYBODY))))
    problem = Problem((*(either,) * 40, alone(600, FIRST)), people=(Person(),) * 3)
    priced, *pools = tariffs_of(problem, gauges_of(problem))
    assert priced.marked
    assert not any(pool.marked for pool in pools)
    assert sum(priced.second) == pytest.approx(1)
    assert 0 < priced.second[0] < priced.second[1] == priced.second[2]
    assert paid_for(problem, priced) > max(paid_for(problem, pool) for pool in pools)


def test_the_prices_are_left_out_where_one_pool_says_the_same() -> None:
    problem = Problem((alone(60, FIRST), alone(20, ANYBODY)), people=(Person(),) * 3)
    assert not any(tariff.marked for tariff in tariffs_of(problem, gauges_of(problem)))


def test_the_prices_are_left_out_where_work_waits_for_other_work_longer() -> None:
    either = Activity((Mode(70, (), (SECOND,)), Mode(54, (), (SECOND, ANYBODY))))
    last = Activity((Mode(9000, (), (FIRST,)),), (40,))
    problem = Problem((*(either,) * 40, alone(600, FIRST), last), people=(Person(),) * 3)
    assert not any(tariff.marked for tariff in tariffs_of(problem, gauges_of(problem)))


def test_work_is_counted_before_the_mark_that_needs_it() -> None:
    problem = floor(12)
    tariffs = tariffs_of(problem, gauges_of(problem))
    guide = guide_of(problem, [Tariff(one.work, one.second, one.heights, True) for one in tariffs])
    assert guide.marked.shape == (len(tariffs), len(guide.mark_tail))
    assert len(guide.mark_tail) > 10
    assert guide.total[0] == pytest.approx(sum(tariffs[0].work))
    assert (guide.marked[:, 1:] >= guide.marked[:, :-1]).all()
    assert (guide.marked[:, -1] <= guide.total).all()
    assert (guide.mark_tail[1:] < guide.mark_tail[:-1]).all()


@given(floors())
def test_nothing_ends_before_all_is_paid_for(problem: Problem) -> None:
    end = shortest(problem) + 1e-6
    tariffs = [
        Tariff(one.work, one.second, one.heights, True)
        for one in tariffs_of(problem, gauges_of(problem))
    ]
    guide = guide_of(problem, tariffs)
    for number, tariff in enumerate(tariffs):
        assert paid_for(problem, tariff) <= end
        homes = sum(tariff.work) - paid_for(problem, tariff)
        assert (guide.marked[number] + guide.mark_tail - homes <= end).all()
