"""Stopping rules; the clock is one that the test turns."""

from loading.planner.stopping import AnyOf, Iterations, Seconds


class Clock:
    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


def test_iterations() -> None:
    stop = Iterations(10)
    assert not stop.reached(9)
    assert stop.reached(10)
    assert (stop.share(0), stop.share(5), stop.share(20)) == (0.0, 0.5, 1.0)
    assert Iterations(0).reached(0)


def test_seconds_count_from_when_the_rule_was_made() -> None:
    clock = Clock()
    stop = Seconds(4.0, clock)
    clock.now_s = 103.0
    assert not stop.reached(10**9)
    assert stop.share(0) == 0.75
    clock.now_s = 104.0
    assert stop.reached(0)


def test_no_seconds_at_all() -> None:
    assert Seconds(0.0, Clock()).reached(0)
    assert Seconds(0.0, Clock()).share(0) == 1.0


def test_any_of_several() -> None:
    stop = AnyOf((Iterations(10), Seconds(4.0, Clock())))
    assert not stop.reached(9)
    assert stop.reached(10)
    assert stop.share(5) == 0.5
    assert AnyOf(()).reached(0)
