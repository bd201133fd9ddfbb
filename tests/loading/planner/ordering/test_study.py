"""What another order or dock would give, around a planner whose answers are known."""

from collections.abc import Mapping

from loading.planner.ordering import Study, study_of
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from tests.loading.planner.ordering.known import KnownPlanner, plan_for, three_vaults

NOW = ["V1", "V2", "V3"]


def studied(lengths: Mapping[str, int], *, forced: bool = False, spot_mm: int = 2000) -> Study:
    """The plan pulls V1, V2, V3 and is 2000 mm long; so is every other that `lengths` omits."""
    request = three_vaults(pull_order=NOW) if forced else three_vaults()
    plan = plan_for(three_vaults(pull_order=NOW), 2000)
    known = KnownPlanner(lengths)

    def planned(asked: LoadRequest) -> LoadPlan:
        if asked.dock.vault_spots > request.dock.vault_spots:
            return plan_for(three_vaults(pull_order=NOW), spot_mm)
        if asked.pull_order is None:
            return plan
        return known(asked, 1.0)

    return study_of(request, plan, planned, seed=1)


def test_other_orders_are_told_beside_the_one_that_stands() -> None:
    study = studied({"V2 V3 V1": 1500})
    assert (study.now.order, study.now.length_mm) == (("V1", "V2", "V3"), 2000)
    others = {other.order: other.length_mm for other in study.others}
    assert others[("V2", "V3", "V1")] == 1500
    assert ("V1", "V2", "V3") not in others
    assert [trial.order for trial in study.front] == [("V2", "V3", "V1")]


def test_an_open_order_has_no_price() -> None:
    assert studied({}).price is None


def test_a_forced_order_has_its_price_and_the_orders_that_it_bars() -> None:
    study = studied({"V2 V1 V3": 1600, "V2 V3 V1": 1500}, forced=True)
    assert study.price is not None
    assert (study.price.sooner, study.price.shorter_mm) == ("V2", 400)
    assert ("V2", "V3", "V1") in {other.order for other in study.others}


def test_what_the_same_order_gives_when_planned_again_is_no_gain_of_another() -> None:
    """The plan was unlucky: its own order gives 1700 as well, and so does another spot."""
    study = studied({"V1 V2 V3": 1700, "V2 V3 V1": 1500}, spot_mm=1700)
    assert (study.now.order, study.now.length_mm) == (("V1", "V2", "V3"), 2000)
    again = study.others[0]
    assert (again.order, again.length_mm) == (("V1", "V2", "V3"), 1700)
    assert [trial.shorter_mm for trial in study.docks] == [0, 0]


def test_a_price_is_told_against_the_best_that_the_forced_order_gave() -> None:
    study = studied({"V1 V2 V3": 1700, "V2 V1 V3": 1600}, forced=True)
    assert study.price is not None
    assert (study.price.sooner, study.price.shorter_mm) == ("V2", 100)


def test_a_larger_dock_is_told_with_its_gain() -> None:
    study = studied({}, spot_mm=1700)
    gains = {trial.change: trial.shorter_mm for trial in study.docks}
    assert gains == {"floor": 0, "spot": 300}
