"""One budget for several searches."""

from loading.planner.ordering.budget import Budget
from loading.planner.stopping import AnyOf, Iterations, Seconds


def spend(budget: Budget, share: float) -> int:
    """A search that goes on until its part is used; how many iterations that were."""
    stop = budget.part(share)
    done = 0
    while not stop.reached(done):
        done += 1
    return done


def test_parts_of_iterations_come_to_the_whole() -> None:
    budget = Budget(Iterations(100))
    assert [spend(budget, 0.3), spend(budget, 0.3), spend(budget, 1.0)] == [30, 30, 40]
    assert budget.is_over()


def test_a_part_of_iterations_is_iterations() -> None:
    """A search with several workers repeats only if it sees that it counts iterations."""
    assert isinstance(Budget(Iterations(100)).part(0.5), Iterations)


def test_the_share_is_that_of_the_whole() -> None:
    budget = Budget(Iterations(100))
    spend(budget, 0.3)
    assert budget.spent() == 0.3
    assert budget.part(0.5).share(10) == 0.4


def test_a_search_that_overruns_its_part_leaves_less() -> None:
    budget = Budget(Iterations(100))
    budget.part(0.1).reached(60)
    assert budget.spent() == 0.6
    assert spend(budget, 1.0) == 40


def test_seconds_pass_for_all_parts() -> None:
    now = [0.0]
    budget = Budget(Seconds(10.0, lambda: now[0]))
    first = budget.part(0.25)
    assert not first.reached(1)
    now[0] = 2.5
    assert first.reached(2)
    second = budget.part(0.5)
    now[0] = 7.4
    assert (second.reached(1), round(second.share(1), 2)) == (False, 0.74)
    now[0] = 7.6
    assert second.reached(1)
    assert not budget.is_over()
    now[0] = 10.0
    assert budget.is_over()


def test_the_tighter_of_two_rules_ends_a_part() -> None:
    budget = Budget(AnyOf((Iterations(100), Seconds(10.0, lambda: 0.0))))
    assert [spend(budget, 0.2), spend(budget, 1.0)] == [20, 80]


def test_a_part_goes_on_until_enough_is_done() -> None:
    assert spend_at_least(Budget(Iterations(100)), 0.1, 30) == 30
    assert spend_at_least(Budget(AnyOf((Iterations(100),))), 0.1, 30) == 30


def test_a_part_takes_all_where_enough_would_cost_too_much() -> None:
    for whole in (Iterations(100), AnyOf((Iterations(100),))):
        assert spend_at_least(Budget(whole), 0.1, 26, or_all=True) == 100
        assert spend_at_least(Budget(whole), 0.1, 25, or_all=True) == 25
        assert spend_at_least(Budget(whole), 0.1, 26) == 26


def spend_at_least(budget: Budget, share: float, at_least: int, *, or_all: bool = False) -> int:
    stop = budget.part(share, at_least=at_least, or_all=or_all)
    done = 0
    while not stop.reached(done):
        done += 1
    return done
