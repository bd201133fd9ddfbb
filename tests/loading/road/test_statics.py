from hypothesis import given
from hypothesis import strategies as st

from loading.planner.request import Support
from loading.road.pounds import MM_PER_FOOT, grams, pounds
from loading.road.statics import gross_g, weights_shares_g
from tests.loading.road.facts import BRIDGE

FRONT = Support("front axle", -1000, 2_000_000, 4_000_000)
REAR = Support("rear axle", 4000, 2_000_000, 6_000_000)


def test_the_computed_two_axle_truck() -> None:
    """axle_statics of tests/data/road/bridge_formula.json: computed from the rule beside it."""
    for told in BRIDGE["axle_statics"]["examples"]:
        supports = (
            Support("front", 0, round(grams(told["tare_front"])), 1),
            Support("rear", round(told["B_ft"] * MM_PER_FOOT), round(grams(told["tare_rear"])), 1),
        )
        items = [(round(grams(lb)), round(2 * ft * MM_PER_FOOT)) for lb, ft in told["items"]]
        front, rear = gross_g(supports, weights_shares_g(supports, items))
        assert round(pounds(front)) == told["front"]
        assert round(pounds(rear)) == told["rear"]


def test_a_weight_over_a_support_is_all_on_it() -> None:
    assert weights_shares_g((FRONT, REAR), [(70_000, 2 * 4000)]) == (0, 70_000)


def test_a_weight_behind_the_rear_axle_lifts_the_front() -> None:
    front, rear = weights_shares_g((FRONT, REAR), [(100_000, 2 * 5000)])
    assert (front, rear) == (-20_000, 120_000)


@given(st.lists(st.tuples(st.integers(1, 500_000), st.integers(0, 12_000)), max_size=9))
def test_the_supports_carry_all_of_it_and_its_moment(weights: list[tuple[int, int]]) -> None:
    front, rear = weights_shares_g((FRONT, REAR), weights)
    assert front + rear == sum(weight for weight, _ in weights)
    twice_moment = sum(weight * twice_x_mm for weight, twice_x_mm in weights)
    assert 2 * (front * FRONT.x_mm + rear * REAR.x_mm) == twice_moment
