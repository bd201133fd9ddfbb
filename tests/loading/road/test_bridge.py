"""The bridge formula against FHWA-HOP-19-028 (tests/data/road/bridge_formula.json)."""

from fractions import Fraction

import pytest

from loading.road.bridge import AxleGroup, AxleWeight, allowed_lb, axle_groups, formula_lb
from loading.road.pounds import MM_PER_FOOT, MM_PER_INCH, grams
from tests.loading.road.facts import BRIDGE, worked_truck


def groups_of(name: str) -> dict[str, AxleGroup]:
    axles = [
        AxleWeight(Fraction(str(feet)) * MM_PER_FOOT, grams(pounds))
        for feet, pounds in worked_truck(name)["axles"]
    ]
    return {group.name: group for group in axle_groups(axles)}


@pytest.mark.parametrize("cell", BRIDGE["table_cells"], ids=lambda c: f"{c['L_ft']}ft-{c['N']}")
def test_each_published_cell_of_the_table(cell: dict[str, int]) -> None:
    assert allowed_lb(cell["L_ft"] * MM_PER_FOOT, cell["N"]) == cell["W_lb"]


def test_there_are_31_cells() -> None:
    assert len(BRIDGE["table_cells"]) == 31


@pytest.mark.parametrize(("raw", "rounded"), BRIDGE["rounding_vectors"])
def test_rounding_to_500_lb_takes_ties_down(raw: float, rounded: int) -> None:
    # Solved for the span that gives the raw weight with three axles; a third needs no rounding.
    exact = Fraction(raw).limit_denominator(3)
    span = (exact / 500 - 36 - 36) * Fraction(2, 3)
    assert formula_lb(span, 3) == rounded


def test_the_cell_that_states_print_differently_follows_the_tie_rule() -> None:
    cell = BRIDGE["disputed_cell"]
    assert formula_lb(Fraction(cell["L_ft"]), cell["N"]) == cell["ties_down"]


@pytest.mark.parametrize("name", ["fhwa_fig4", "fhwa_fig8"])
def test_both_worked_trucks(name: str) -> None:
    truck, groups = worked_truck(name), groups_of(name)

    assert sum("-" in name for name in groups) == truck["groups_to_check"]
    for told in truck["expected"]:
        group = groups[told["group"]]
        assert (group.span_ft, group.actual_lb, group.allowed_lb) == (
            told["span"],
            told["actual"],
            told["allowed"],
        )
        assert group.over_lb == told.get("over", 0)


def test_the_five_axle_truck_passes_everything_but_axles_2_to_5() -> None:
    over = [name for name, group in groups_of("fhwa_fig4").items() if group.over_lb > 0]
    assert over == ["2-5"]


def test_the_truck_of_the_exception_passes() -> None:
    """Its text speaks of axles 2-5 at 36 ft and 66,000 lb; its positions put them 40 ft apart."""
    assert formula_lb(Fraction(36), 4) == 66_000
    assert not any(group.over_lb for group in groups_of("exception_36ft").values())


def test_at_exactly_36_ft_the_exception_holds_and_at_34_it_does_not() -> None:
    tandems = [AxleWeight(ft * MM_PER_FOOT, grams(17_000)) for ft in (0, 4, 32, 36)]
    four = {group.name: group for group in axle_groups(tandems)}["1-4"]
    assert (four.allowed_lb, four.over_lb) == (68_000, 0)
    no_tandems = [AxleWeight(ft * MM_PER_FOOT, grams(17_000)) for ft in (0, 9, 27, 36)]
    assert {group.name: group for group in axle_groups(no_tandems)}["1-4"].allowed_lb == 66_000

    told = worked_truck("exception_not_met")["expected"][0]
    group = groups_of("exception_not_met")[told["group"]]
    assert (group.allowed_lb, group.actual_lb) == (told["allowed"], told["actual"])
    assert group.over_lb == told["actual"] - told["allowed"]


def test_a_single_axle_two_close_ones_and_a_tandem() -> None:
    limits = BRIDGE["limits"]
    assert allowed_lb(0, 1) == limits["single_axle_lb"]
    assert allowed_lb(40 * MM_PER_INCH, 2) == limits["single_axle_lb"]
    assert allowed_lb(41 * MM_PER_INCH, 2) == limits["tandem_lb"]
    assert allowed_lb(96 * MM_PER_INCH, 2) == limits["tandem_lb"]
    # More than 8 ft, rounded to 8, goes by the formula: 38,000 lb in the published table.
    assert allowed_lb(97 * MM_PER_INCH, 2) == 38_000
    assert allowed_lb(100 * MM_PER_FOOT, 9) == limits["gross_lb"]


def test_the_text_examples() -> None:
    for told in worked_truck("text_examples")["expected"]:
        if "W" in told:
            assert allowed_lb(told["L"] * MM_PER_FOOT, told["N"]) == told["W"]


def test_a_two_axle_truck_is_capped_by_its_axles() -> None:
    # The file's note on a 26 ft class truck: raw 50,000 lb at 20 ft, capped at 40,000.
    assert formula_lb(Fraction(20), 2) == 50_000
    assert allowed_lb(20 * MM_PER_FOOT, 2) == 40_000
