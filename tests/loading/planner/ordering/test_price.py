"""What a forced order costs, in words."""

from dataclasses import replace

from loading.planner.dockside import Pace, Wait
from loading.planner.ordering import OrderPrice, order_price, price_sentence
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import LoadRequest
from tests.loading.planner.ordering.known import KnownPlanner, plan_for, three_vaults
from tests.loading.planner.scene import item

PACE = Pace({"pull": 60, "unpack": 60, "load": 60, "move": 60, "clear": 0})
FORCED = ["V1", "V2", "V3"]


def forced(length_mm: int = 2000) -> tuple[LoadRequest, LoadPlan]:
    request = three_vaults(pull_order=FORCED, dock={"vault_spots": 2, "floor_m2": 10})
    return request, plan_for(request, length_mm)


def test_the_vault_that_would_pay_most_is_named() -> None:
    planner = KnownPlanner({"V3 V1 V2": 1900, "V2 V1 V3": 1600})
    price = order_price(*forced(), planner)
    assert (price.sooner, price.shorter_mm, price.fewer_moves) == ("V2", 400, 0)
    assert price_sentence(price) == "taking V2 first would save 0.40 m of truck"


def test_fewer_moves_are_a_gain_too() -> None:
    request = three_vaults(pull_order=["V3", "V2", "V1"])
    price = order_price(request, plan_for(request, 2000), KnownPlanner({}))
    assert (price.sooner, price.fewer_moves) == ("V2", 1)
    assert price_sentence(price) == "taking V2 first would save a move"


def test_a_move_counts_where_lengths_differ_by_chance_only() -> None:
    request = three_vaults(pull_order=["V3", "V2", "V1"])
    plan = plan_for(request, 2000)
    price = order_price(request, plan, KnownPlanner({"V2 V3 V1": 2020, "V1 V3 V2": 1990}))
    assert (price.sooner, price.shorter_mm, price.fewer_moves) == ("V2", 0, 1)
    longer = order_price(request, plan, KnownPlanner({"V2 V3 V1": 2100, "V1 V3 V2": 1990}))
    assert longer.sooner is None


def test_a_floor_that_is_clearly_calmer_is_a_gain_too() -> None:
    """Two pieces lie there together in the forced order, each alone in another; or a small one."""
    small = [*(item(tag, (500, 500, 500)) for tag in "123"), item("4", (90, 90, 90))]
    request = three_vaults(pull_order=FORCED, items=small)
    calm = plan_for(request, 2000)
    crowded = replace(calm, steps=(calm.steps[0], Step("unpack", tag="3"), *calm.steps[1:]))
    price = order_price(request, crowded, KnownPlanner({}))
    assert price_sentence(price).endswith("first would empty the floor sooner")
    nearly = replace(calm, steps=(Step("fetch", tag="4"), *calm.steps))
    assert order_price(request, nearly, KnownPlanner({})).sooner is None


def test_where_few_are_tried_those_that_save_a_move_are() -> None:
    """V3 stands behind V2: taken first it costs a move, V1 does not."""
    request = three_vaults(pull_order=["V2", "V1", "V3"])
    planner = KnownPlanner({})
    order_price(request, plan_for(request, 2000), planner, most=1)
    assert planner.asked == [("V1 V2 V3", 1.0)]


def test_where_no_vault_would_pay_none_is_named() -> None:
    price = order_price(*forced(1000), KnownPlanner({}))
    assert (price.sooner, price.shorter_mm, price_sentence(price)) == (None, 0, "")


def test_an_open_order_has_no_price() -> None:
    request = three_vaults()
    plan = LoadPlan("scene", (), ())
    planner = KnownPlanner({})
    assert order_price(request, plan, planner).sooner is None
    assert planner.asked == []


def test_pieces_that_wait_long_are_counted() -> None:
    """Piece 1 is unpacked first and loaded last, an hour after."""
    request, _ = forced()
    steps = [Step("pull", vault="V1"), Step("unpack", tag="1")]
    for code, tag in (("V2", "2"), ("V3", "3")):
        steps += [Step("pull", vault=code), Step("unpack", tag=tag), Step("load", tag=tag)]
    steps.append(Step("load", tag="1"))
    plan = LoadPlan("scene", tuple(steps), (), figures={"length_mm": 1000})
    slow = Pace({"pull": 60, "unpack": 60, "load": 1800})
    price = order_price(request, plan, KnownPlanner({}), pace=slow)
    assert [(wait.what, wait.seconds) for wait in price.waits] == [("1", 3780)]
    assert price_sentence(price).startswith("1 piece waits 63 minutes or longer on the floor")


def test_several_pieces_are_told_with_what_each_waits_at_least() -> None:
    waits = tuple(Wait(tag, False, 2, 9, 1, 60 * least) for tag, least in (("1", 55), ("2", 40)))
    price = OrderPrice(waits, "V2", 0, 400, 0)
    assert price_sentence(price) == (
        "2 pieces wait 40 minutes or longer on the floor, one of them 55; "
        "taking V2 first would save 0.40 m of truck"
    )


def test_the_budget_is_shared_among_those_tried() -> None:
    planner = KnownPlanner({})
    order_price(*forced(), planner)
    assert sum(part for _, part in planner.asked) <= 1.0
    assert {order for order, _ in planner.asked} == {"V3 V1 V2", "V2 V1 V3"}
