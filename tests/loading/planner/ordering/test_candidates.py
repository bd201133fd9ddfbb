"""Which orders are worth planning with."""

from loading.planner.ordering import by_stop, candidates, neighbours
from loading.planner.plan import Step
from loading.planner.pulls import PullOrder
from loading.planner.request import Progress
from tests.loading.planner.ordering.known import three_vaults
from tests.loading.planner.scene import item


def codes_of(found: tuple[PullOrder, ...]) -> set[str]:
    return {" ".join(order.codes) for order in found}


def test_orders_that_cost_few_moves() -> None:
    """X1 must move; V3 before V2 would move V2 too."""
    found = candidates(three_vaults(), seed=1, limit=10)
    assert {order.moves for order in found.orders} == {1}
    assert codes_of(found.orders) == {"V1 V2 V3", "V2 V1 V3", "V2 V3 V1"}


def test_beside_an_order_stand_those_with_two_vaults_changed() -> None:
    order = PullOrder(("V1", "V2", "V3"), 1)
    assert codes_of(neighbours(three_vaults(), order, most=1)) == {"V2 V1 V3"}
    assert codes_of(neighbours(three_vaults(), order, most=2)) == {"V2 V1 V3", "V1 V3 V2"}


def test_the_last_stop_comes_first_whatever_it_costs() -> None:
    items = [item("1", (500,) * 3), item("2", (500,) * 3), item("3", (500,) * 3, stop=2)]
    request = three_vaults(items=items)
    assert by_stop(request, ["V1", "V2", "V3"]) == [["V3"], ["V1", "V2"]]
    found = candidates(request, seed=1, limit=10)
    assert {order.codes[0] for order in found.orders} == {"V3"}
    assert codes_of(neighbours(request, PullOrder(("V3", "V2", "V1"), 2), most=9)) == {"V3 V1 V2"}


def test_what_was_pulled_stays_at_the_head() -> None:
    request = three_vaults()
    done = Progress((Step("pull", vault="V1"),), (), ())
    begun = type(request)(**{**_fields(request), "progress": done})
    found = candidates(begun, seed=1, limit=10)
    assert codes_of(found.orders) == {"V2 V3"}
    assert found.request_for(begun, found.orders[0]).pull_order == ("V1", "V2", "V3")


def _fields(request: object) -> dict[str, object]:
    return {
        name: getattr(request, name)
        for name in type(request).__dataclass_fields__  # type: ignore[attr-defined]
        if not name.startswith("_")
    }


def test_a_vault_that_cannot_be_reached_bars_no_other() -> None:
    """All slots are taken but the one that V1 leaves, and two stand before V3."""
    other = [{"code": f"X{n}", "lane": "C", "depth": n, "level": 1} for n in (1, 2, 3)] + [
        {"code": "X9", "lane": "B", "depth": 1, "level": 1}
    ]
    vaults = [
        {"code": "V1", "lane": "A", "depth": 1, "level": 1, "items": ["1"]},
        {"code": "V2", "lane": "C", "depth": 1, "level": 1, "items": ["2"]},
        {"code": "V3", "lane": "B", "depth": 3, "level": 1, "items": ["3"]},
    ]
    other[0] = {"code": "X1", "lane": "B", "depth": 2, "level": 1}
    lanes = {"depth": 3, "levels": 1, "names": ["A", "B", "C"], "of": {"A": [1, 1]}}
    request = three_vaults(vaults=vaults, other_vaults=other, lanes=lanes)
    found = candidates(request, seed=1, limit=10)
    assert found.barred == ()
    assert codes_of(found.orders) <= {"V1 V2 V3", "V2 V1 V3"}


def test_a_vault_with_nothing_that_leaves_is_not_pulled() -> None:
    items = [item(tag, (500,) * 3, leaves=tag != "3") for tag in "123"]
    found = candidates(three_vaults(items=items), seed=1, limit=10)
    assert {frozenset(order.codes) for order in found.orders} == {frozenset({"V1", "V2"})}
