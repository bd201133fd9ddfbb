"""The six items of a weight ticket, 49 CFR 375.519 (section number from memory)."""

from dataclasses import replace
from datetime import date

import pytest

from loading.road.tickets import ITEMS, WeightTicket, ticket_faults

WHOLE = WeightTicket(
    scale_name="North scale",
    scale_place="Harbor Road",
    weighed_on=date(2026, 3, 4),
    gross_g=10_000_000,
    tare_g=7_000_000,
    net_g=3_000_000,
    vehicle="Truck 7",
    shipper="Quill",
    shipment="SHP-0412",
)


def test_a_whole_ticket_has_no_fault() -> None:
    assert ticket_faults(WHOLE) == ()
    assert len(ITEMS) == 6


@pytest.mark.parametrize(
    ("changed", "item"),
    [
        ({"scale_name": ""}, "scale"),
        ({"scale_place": ""}, "scale"),
        ({"weighed_on": None}, "weighed_on"),
        ({"net_g": None}, "weights"),
        ({"vehicle": ""}, "vehicle"),
        ({"shipper": ""}, "shipper"),
        ({"shipment": ""}, "shipment"),
    ],
)
def test_each_missing_item_is_named(changed: dict[str, None], item: str) -> None:
    assert [fault.item for fault in ticket_faults(replace(WHOLE, **changed))] == [item]


def test_all_missing_items_are_named_at_once() -> None:
    empty = WeightTicket("", "", None, None, None, None, "", "", "")
    assert tuple(fault.item for fault in ticket_faults(empty)) == ITEMS


def test_pounds_kept_in_grams_agree_although_each_was_rounded() -> None:
    # 22,001, 15,000 and 7,001 lb at 453.59237 g (exact), each rounded to a gram.
    in_grams = {"gross_g": 9_979_486, "tare_g": 6_803_886, "net_g": 3_175_600}
    assert ticket_faults(replace(WHOLE, **in_grams)) == ()
    assert ticket_faults(replace(WHOLE, **{**in_grams, "net_g": 3_175_603})) != ()


def test_weights_that_do_not_agree() -> None:
    (wrong,) = ticket_faults(replace(WHOLE, net_g=2_900_000))
    assert "3000 kg, the net says 2900 kg" in wrong.message
    (swapped,) = ticket_faults(replace(WHOLE, gross_g=7_000_000, tare_g=10_000_000))
    assert "less than the tare" in swapped.message
