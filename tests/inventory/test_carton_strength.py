"""Cartons beside the box-certificate table (tests/data/inventory/box_certificates.csv)."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from inventory.carton_strength import (
    G_PER_LB,
    SINGLE_WALL,
    USUAL_LB,
    Certificate,
    certificate_needed,
    is_over_usual,
)
from inventory.catalogue import catalogue_kinds
from inventory.models import Item
from inventory.selectors import item_cautions

TABLE = Path(__file__).parents[1] / "data" / "inventory" / "box_certificates.csv"


def test_the_table_of_rule_41_and_item_222() -> None:
    with TABLE.open(encoding="utf-8", newline="") as lines:
        told = [
            Certificate(**{key: int(n) for key, n in row.items()}) for row in csv.DictReader(lines)
        ]
    assert list(SINGLE_WALL) == told


@pytest.mark.parametrize(("pounds", "certificate"), [(20, 20), (20.01, 35), (65, 65), (119, 120)])
def test_the_weakest_board_that_will_do(pounds: float, certificate: int) -> None:
    needed = certificate_needed(int(pounds * G_PER_LB))
    assert needed is not None
    assert needed.gross_lb == certificate


def test_over_120_lb_no_single_wall_will_do() -> None:
    assert certificate_needed(int(120.1 * G_PER_LB)) is None


def test_ordinary_cartons_of_the_catalogue_keep_the_usual_certificate() -> None:
    cartons = [kind for kind in catalogue_kinds() if kind["carton"] and not kind["fragile"]]
    boxes = [kind for kind in cartons if not str(kind["code"]).startswith("mattress")]
    assert len(boxes) >= 10
    assert [kind["code"] for kind in boxes if is_over_usual(int(str(kind["weight_g"])))] == []


def test_a_carton_that_a_scale_found_too_heavy_is_cautioned(
    make_item: Callable[..., Item],
) -> None:
    heavy = int((USUAL_LB + 1) * G_PER_LB)
    item = make_item("007", name="books", carton=True, weight_g=heavy, weight_from="measured")
    (caution,) = item_cautions(item=item)
    assert "80 lb" in caution.what_to_do
    item.weight_g = 60_000
    (caution,) = item_cautions(item=item)
    assert "single wall" in caution.what_to_do
    item.weight_from = "kind"
    assert item_cautions(item=item) == ()
