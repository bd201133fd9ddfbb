"""Planning together with the order of the pulls, around a planner whose answers are known."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import pytest

from loading.planner.ordering import plan_with_orders, with_fewest_moves
from loading.planner.ordering.planning import BestSoFar, OnProgress
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import LoadRequest
from loading.planner.request.data import Progress
from loading.planner.stopping import Iterations, Stop
from tests.loading.planner.ordering.known import plan_for, three_vaults
from tests.loading.planner.scene import item

LIMIT = 10_000
FORCED = ["V1", "V2", "V3"]


@dataclass
class KnownSearch:
    """`plan_load` as far as it goes here: uses up its rule, and the order says the length."""

    length_mm: Mapping[str, int]
    asked: list[tuple[tuple[str, ...] | None, int, int]] = field(default_factory=list)
    improves: list[bool] = field(default_factory=list)

    def __call__(
        self,
        request: LoadRequest,
        *,
        seed: int,
        stop: Stop,
        workers: int,
        former: LoadPlan | None,
        improve: bool,
        on_progress: OnProgress | None,
        cancelled: Callable[[], bool] | None,
    ) -> LoadPlan:
        assert workers == 1
        assert former is None or former.request == "scene"
        order = request.pull_order or ("V1", "V2", "V3")
        length_mm = self.length_mm.get(" ".join(order), 2000)
        done = 1
        while not stop.reached(done) and not (cancelled and cancelled()):
            done += 1
        if on_progress is not None:
            on_progress(BestSoFar(stop.share(done), 1000 / length_mm, 3, 3))
        self.improves.append(improve)
        self.asked.append((request.pull_order, seed, done))
        return plan_for(replace(request, pull_order=tuple(order)), length_mm)

    @property
    def iterations(self) -> int:
        return sum(done for _, _, done in self.asked)


def test_the_order_that_gives_the_shortest_load_is_taken() -> None:
    search = KnownSearch({"V2 V3 V1": 1500})
    plan = plan_with_orders(search, three_vaults(), seed=1, stop=Iterations(LIMIT))
    assert plan.figures["length_mm"] == 1500
    assert [step.vault for step in plan.steps if step.do == "pull"] == ["V2", "V3", "V1"]


def test_the_budget_is_that_of_one_search() -> None:
    search = KnownSearch({"V2 V3 V1": 1500})
    plan_with_orders(search, three_vaults(), seed=1, stop=Iterations(LIMIT))
    assert search.iterations == LIMIT
    assert search.asked[-1][0] == ("V2", "V3", "V1"), "what is left goes to the best"


def test_the_same_again() -> None:
    runs = []
    for _ in range(2):
        search = KnownSearch({"V2 V3 V1": 1500})
        plan_with_orders(search, three_vaults(), seed=7, stop=Iterations(LIMIT))
        runs.append(search.asked)
    assert runs[0] == runs[1]


def test_the_order_that_is_planned_to_the_end_goes_on_with_the_same_dice() -> None:
    search = KnownSearch({"V2 V3 V1": 1500})
    plan_with_orders(search, three_vaults(), seed=5, stop=Iterations(LIMIT))
    trials = [(seed, done) for order, seed, done in search.asked if order == ("V2", "V3", "V1")]
    (first, tried), (second, whole) = trials
    assert (first, second) == (5, 5)
    assert whole > 5 * tried


def test_where_no_order_is_clearly_better_the_fewest_moves_have_most_of_the_budget() -> None:
    """Five mm of two metres are chance; they are kept if the rest of the budget finds no better."""
    search = KnownSearch({"V2 V3 V1": 1995})
    request = three_vaults()
    plan = plan_with_orders(search, request, seed=1, stop=Iterations(LIMIT))
    order, _, done = search.asked[-1]
    assert order == with_fewest_moves(request, seed=1).pull_order
    assert done >= 0.75 * LIMIT
    assert plan.figures["length_mm"] == 1995


def test_where_every_vault_has_a_spot_the_fewest_moves_have_it_all() -> None:
    search = KnownSearch({})
    request = three_vaults(dock={"vault_spots": 3, "floor_m2": 10})
    plan_with_orders(search, request, seed=3, stop=Iterations(LIMIT))
    assert search.asked == [(with_fewest_moves(request, seed=3).pull_order, 3, LIMIT)]


def test_a_load_too_large_for_trials_is_planned_once() -> None:
    """Twelve iterations tell of three pieces what an order is good for: too many of a hundred."""
    search = KnownSearch({})
    request = three_vaults()
    plan_with_orders(search, request, seed=3, stop=Iterations(100))
    assert search.asked == [(with_fewest_moves(request, seed=3).pull_order, 3, 100)]


def test_a_forced_order_is_obeyed_and_its_price_told() -> None:
    search = KnownSearch({"V3 V1 V2": 1600})
    request = three_vaults(pull_order=FORCED)
    plan = plan_with_orders(search, request, seed=1, stop=Iterations(LIMIT))
    assert [step.vault for step in plan.steps if step.do == "pull"] == FORCED
    assert plan.warnings == ("taking V3 first would save 0.40 m of truck",)
    assert search.iterations == LIMIT


def test_a_forced_order_that_costs_nothing_has_no_warning() -> None:
    request = three_vaults(pull_order=FORCED)
    plan = plan_with_orders(KnownSearch({}), request, seed=1, stop=Iterations(LIMIT))
    assert plan.warnings == ()


def test_a_forced_order_has_its_price_also_where_a_plan_was_made_before() -> None:
    former = plan_for(three_vaults(pull_order=FORCED), 2000)
    search = KnownSearch({"V3 V1 V2": 1600})
    request = three_vaults(pull_order=FORCED)
    plan = plan_with_orders(search, request, seed=1, stop=Iterations(LIMIT), former=former)
    assert plan.warnings == ("taking V3 first would save 0.40 m of truck",)


def test_of_a_forced_order_that_has_begun_no_other_is_tried() -> None:
    search = KnownSearch({"V3 V1 V2": 1600})
    request = replace(three_vaults(pull_order=FORCED), progress=Progress((), (), ()))
    plan = plan_with_orders(search, request, seed=1, stop=Iterations(LIMIT))
    assert plan.warnings == ()
    assert search.asked == [(tuple(FORCED), 1, LIMIT)]


def test_of_a_forced_order_that_has_begun_the_waiting_is_told() -> None:
    """The piece of V1 stands on the floor until the others are in."""

    class Waits(KnownSearch):
        def __call__(self, request: LoadRequest, **told: object) -> LoadPlan:
            plan = super().__call__(request, **told)  # type: ignore[arg-type]
            late = [step for step in plan.steps if step == Step("load", tag="1")]
            others = [step for step in plan.steps if step not in late]
            return replace(plan, steps=(*others, *late))

    more = [item(tag, (500, 500, 500)) for tag in "123456789"]
    vaults = [
        {"code": "V1", "lane": "A", "depth": 3, "level": 1, "items": ["1"]},
        {"code": "V2", "lane": "B", "depth": 2, "level": 1, "items": list("23456789")},
        {"code": "V3", "lane": "B", "depth": 3, "level": 1, "items": []},
    ]
    request = three_vaults(pull_order=["V1", "V2"], items=more, vaults=vaults)
    begun = replace(request, progress=Progress((), (), ()))
    plan = plan_with_orders(Waits({}), begun, seed=1, stop=Iterations(LIMIT))
    [said] = plan.warnings
    assert said.startswith("1 piece waits ")
    assert said.endswith(" minutes or longer on the floor")


@pytest.mark.parametrize("begun", [True, False])
def test_what_has_begun_or_follows_a_plan_is_planned_as_it_is(begun: bool) -> None:
    search = KnownSearch({})
    request = three_vaults()
    former = None if begun else plan_for(replace(request, pull_order=tuple(FORCED)), 2000)
    if begun:
        request = replace(request, progress=Progress((), (), ()))
    plan_with_orders(
        search, request, seed=3, stop=Iterations(LIMIT), former=former, improve=not begun
    )
    assert search.asked == [(None, 3, LIMIT)]
    assert search.improves == [not begun]


def test_once_called_off_nothing_more_is_tried() -> None:
    search = KnownSearch({})
    plan_with_orders(search, three_vaults(), seed=1, stop=Iterations(LIMIT), cancelled=lambda: True)
    assert len(search.asked) == 1


def test_a_first_load_that_takes_long_leaves_other_orders_untried() -> None:
    """Every search finishes one load at least, however small its part is."""

    class Slow(KnownSearch):
        def __call__(self, request: LoadRequest, *, stop: Stop, **told: object) -> LoadPlan:
            stop.reached(6 * LIMIT // 10)
            self.asked.append((request.pull_order, 0, 6 * LIMIT // 10))
            return plan_for(request, 2000)

    search = Slow({})
    plan_with_orders(search, three_vaults(), seed=1, stop=Iterations(LIMIT))
    assert len({order for order, _, _ in search.asked}) == 1


def test_progress_goes_up_to_the_end_of_the_whole_budget() -> None:
    told: list[BestSoFar] = []
    plan_with_orders(
        KnownSearch({"V2 V3 V1": 1500}),
        three_vaults(),
        seed=1,
        stop=Iterations(LIMIT),
        on_progress=lambda news: told.append(
            BestSoFar(news.share, news.space_use, news.loaded, news.pieces)
        ),
    )
    shares = [news.share for news in told]
    uses = [news.space_use for news in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert uses == sorted(uses)
