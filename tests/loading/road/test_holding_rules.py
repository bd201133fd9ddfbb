"""The rules of holding a load against the figures in tests/data/road/securement.json.

Each test names the rule; what is from memory is marked in the file and said in the test.
"""

from fractions import Fraction

import pytest

from loading.road.forces import BREAKING, WORKING, Direction, newtons, sliding_g
from loading.road.friction import DYNAMIC_SHARE, MAT, STATIC, dynamic
from loading.road.front_wall import is_high_enough, strength_required_g
from loading.road.lashing import EDITION_2003, EDITION_2010, straps_over_top, tension_g
from loading.road.pounds import MM_PER_FOOT, MM_PER_INCH, grams
from loading.road.tiedowns import (
    Route,
    TieDown,
    aggregate_g,
    count_required,
    required_aggregate_g,
    weakest_part,
)
from loading.road.tipping import SIDEWAYS_TIPPING, box_tips
from loading.road.unmarked import CHAIN_LB, UNMARKED_LIMITS_G, WEBBING_LB, WIRE_ROPE_LB
from loading.road.voids import sum_passes
from tests.loading.road.facts import SECUREMENT, securement

NAMES = {
    Direction.FORWARD: "forward",
    Direction.REARWARD: "rearward",
    Direction.SIDEWAYS: "lateral",
}


def exact(number: float) -> Fraction:
    return Fraction(str(number))


@pytest.mark.parametrize("direction", Direction)
def test_accelerations_of_49_cfr_393_102_a(direction: Direction) -> None:
    told = SECUREMENT["performance"]
    assert BREAKING[direction] == exact(told["breaking_strength_g"][NAMES[direction]])
    assert WORKING[direction] == exact(told["working_load_g"][NAMES[direction]])


def test_the_ctu_code_asks_the_same_on_roads() -> None:
    assert "forward 0.8, rearward 0.5, transverse 0.5" in securement("ctu_road_g")["rule"]
    assert [float(BREAKING[d]) for d in Direction] == [0.8, 0.5, 0.5]


@pytest.mark.parametrize("told", securement("sliding_demand")["vectors"])
def test_sliding_force_partly_from_memory(told: dict[str, float]) -> None:
    weight_g = round(told["m_kg"] * 1000)
    force = newtons(sliding_g(weight_g, exact(told["c"]), exact(told["mu"])))
    assert force == exact(told["F_N"])


def test_friction_never_pushes() -> None:
    assert sliding_g(1000, Fraction(1, 4), Fraction(1, 2)) == 0


def test_static_friction_of_every_pair_in_the_ctu_code() -> None:
    told = securement("ctu_friction")["values"]
    assert {surfaces: exact(value) for surfaces, value in told.items()} == STATIC


def test_an_unmarked_friction_mat_from_memory() -> None:
    assert f"resists {round(100 * MAT)}% of the weight" in securement("friction_mat")["rule"]


def test_dynamic_friction_is_three_quarters() -> None:
    assert "dynamic = 75%" in securement("ctu_friction")["note"]
    assert dynamic(Fraction(4, 10)) == Fraction(3, 10) == Fraction(4, 10) * DYNAMIC_SHARE


def test_half_the_weight_as_aggregate_working_load_limit_393_106_d() -> None:
    told = securement("awll_30000")
    required = required_aggregate_g(round(grams(told["inputs"]["cargo_lb"])))
    assert round(required / grams(1)) == told["expected"]["required_awll_lb"]


def test_how_each_tie_down_counts_393_106_d() -> None:
    told = securement("awll_count")
    ties = [
        TieDown(wll_g=tie["wll"], route=Route(tie["kind"])) for tie in told["inputs"]["tiedowns"]
    ]
    assert aggregate_g(ties) == told["expected"]["awll"]
    assert required_aggregate_g(told["inputs"]["cargo_lb"]) == told["expected"]["required"]


def test_the_weakest_part_counts() -> None:
    told = securement("wll_weakest")
    assert weakest_part(told["inputs"]) == ("anchor", told["expected"]["wll"])


@pytest.mark.parametrize(("feet", "pounds", "count"), securement("count_unblocked")["vectors"])
def test_number_of_tie_downs_not_blocked_forward_393_110(
    feet: float, pounds: int, count: int
) -> None:
    assert count_required(exact(feet) * MM_PER_FOOT, grams(pounds), blocked=False) == count


@pytest.mark.parametrize(("feet", "count"), securement("count_blocked")["vectors"])
def test_number_of_tie_downs_blocked_forward_393_110(feet: float, count: int) -> None:
    assert count_required(exact(feet) * MM_PER_FOOT, 10**9, blocked=True) == count


def test_unmarked_tie_downs_of_every_make_393_108() -> None:
    told = securement("wll_defaults")
    assert told["webbing"] == WEBBING_LB
    assert told["wire_rope"] == WIRE_ROPE_LB
    chains = {key: sizes for key, sizes in told.items() if key.startswith("chain")}
    assert {f"chain_{grade}": sizes for grade, sizes in CHAIN_LB.items()} == chains


def test_unmarked_tie_downs_by_make_and_size() -> None:
    limits = UNMARKED_LIMITS_G
    assert len(limits) == 4 + 6 + 6 + 6 + 5 + 5 + 7
    assert limits["chain g70 3/8"] == int(grams(6_600))
    assert limits["wire rope 3/4"] == int(grams(10_900))


@pytest.mark.parametrize(("feet", "cargo_lb", "lb"), securement("front_structure")["vectors"])
def test_front_wall_393_114_partly_from_memory(feet: int, cargo_lb: int, lb: int) -> None:
    assert strength_required_g(feet * MM_PER_FOOT, cargo_lb) == lb


def test_front_wall_is_4_ft_high_or_as_high_as_the_cargo() -> None:
    four = 4 * MM_PER_FOOT
    assert is_high_enough(four, 6 * MM_PER_FOOT)
    assert not is_high_enough(four - 1, 6 * MM_PER_FOOT)
    assert is_high_enough(3 * MM_PER_FOOT, 3 * MM_PER_FOOT)


@pytest.mark.parametrize(("gaps_cm", "passes"), securement("ctu_gap")["vectors"])
def test_sum_of_void_spaces_15_cm(gaps_cm: list[float], passes: bool) -> None:
    assert sum_passes([10 * gap for gap in gaps_cm]) is passes


@pytest.mark.parametrize("told", securement("tipping")["vectors"])
def test_tipping_from_memory(told: dict[str, float]) -> None:
    width, height = told["w_in"] * MM_PER_INCH, told["h_in"] * MM_PER_INCH
    assert box_tips(width, height, exact(told["c"])) is told["tips"]


def test_parameters_of_en_12195_1_2010() -> None:
    told = securement("en12195_2010_params")["values"]
    assert told["k"] == EDITION_2010.tensioned_ends
    assert exact(told["f_s"]) == EDITION_2010.safety
    assert exact(told["cy_tipping"]) == EDITION_2010.sideways_tipping == SIDEWAYS_TIPPING
    assert exact(told["mu_example"]) == STATIC["sawn timber/wood pallet on plywood"]
    assert exact(told["cy_sliding"]) == BREAKING[Direction.SIDEWAYS]
    assert tension_g(1000) == 500  # F_T: S_TF or 0.5 LC
    assert tension_g(1000, 350) == 350


def test_parameters_of_en_12195_1_2003() -> None:
    told = securement("en12195_2010_params")["older_2003"]
    assert exact(told["k"]) == EDITION_2003.tensioned_ends
    assert exact(told["f_s"]) == EDITION_2003.safety
    assert exact(told["cy_tipping"]) == EDITION_2003.sideways_tipping
    assert told["dynamic_mu"] == f"{float(EDITION_2003.friction_share)}*static"


def test_the_older_edition_asks_for_more_straps() -> None:
    # By hand: (0.8 - 0.7 x 0.45) x 1000 kg = 485 kg; a strap 1.5 x 0.315 x 100 kg = 47.25 kg: 11.
    asked = 1_000_000, Fraction(8, 10), Fraction(45, 100), Fraction(100_000)
    assert straps_over_top(*asked, EDITION_2003) == 11
    # 2010: 1.1 x 0.35 x 1000 kg = 385 kg; a strap 2 x 0.45 x 100 kg = 90 kg: 5.
    assert straps_over_top(*asked) == 5


def test_straps_over_the_top_by_hand() -> None:
    # 1.1 x (0.5 - 0.45) x 2000 kg = 110 kg; a strap gives 2 x 0.45 x 100 kg = 90 kg: two.
    count = straps_over_top(2_000_000, Fraction(5, 10), Fraction(45, 100), Fraction(100_000))
    assert count == 2
    assert straps_over_top(2_000_000, Fraction(4, 10), Fraction(45, 100), Fraction(1)) == 0
