"""Constructive weight and tare: 7 lb per cubic foot, Ohio Adm. Code 4901:2-19-07(E), 400NG 4.9."""

import csv

from loading.road.pounds import MM_PER_FOOT, grams
from loading.road.reconciling import (
    PAD_G,
    SCALE_STEP_G,
    Part,
    Weighed,
    constructive_g,
    reconcile,
    stored_net_g,
)
from tests.loading.road.facts import DATA

CUBIC_FOOT_MM3 = MM_PER_FOOT**3


def test_every_article_whose_cube_the_public_table_gives() -> None:
    """The US Department of Defense's estimating table (tests/data/road)."""
    with (DATA / "road" / "household_weights.csv").open() as file:
        rows = [row for row in csv.DictReader(file) if row["cubic_ft"]]
    assert len(rows) > 150
    for row in rows:
        space_mm3 = round(int(row["cubic_ft"]) * CUBIC_FOOT_MM3)
        assert constructive_g(space_mm3) == round(grams(int(row["weight_lb"])))


def test_pads_and_blocking_in_a_weighed_vault_are_tare() -> None:
    """43 Tex. Admin. Code; Va. Code 46.2-2165."""
    net = stored_net_g(gross_g=500_000, container_g=150_000, pads=10, blocking_g=4_000)
    assert net == 500_000 - 150_000 - 10 * PAD_G - 4_000
    assert PAD_G == 2722  # 6 lb, common practice


def weighed(**changed: int) -> Weighed:
    given = {"net_g": 3_000_000, "pieces_g": 3_000_000, "estimated_g": 0, "space_mm3": 10**9}
    return Weighed(**(given | changed))


def test_a_scale_that_agrees_is_explained() -> None:
    found = reconcile(weighed())
    assert (found.difference_g, found.left_g, found.parts) == (0, 0, ())
    assert found.is_explained
    assert found.tolerance_g == 2 * SCALE_STEP_G


def test_pads_that_came_aboard_after_the_tare_explain_their_weight() -> None:
    found = reconcile(weighed(net_g=3_100_000, more_pads=30))
    assert found.parts == (Part("pads_not_in_tare", 30 * PAD_G),)
    assert found.left_g == 100_000 - 30 * PAD_G
    assert not found.is_explained


def test_fuel_burnt_between_the_weighings_counts_against_the_net() -> None:
    found = reconcile(weighed(net_g=2_950_000, more_g=-50_000))
    assert found.left_g == 0
    assert found.is_explained


def test_typical_weights_may_be_off_by_a_fifth_and_no_more() -> None:
    slack = 2 * SCALE_STEP_G + 200_000
    assert reconcile(weighed(net_g=3_000_000 + slack, estimated_g=1_000_000)).is_explained
    assert not reconcile(weighed(net_g=3_000_001 + slack, estimated_g=1_000_000)).is_explained
