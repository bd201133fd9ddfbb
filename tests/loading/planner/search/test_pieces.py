"""Which pieces are hard to place, by their figures."""

from dataclasses import replace

import pytest

from loading.planner.request import Item, LoadRequest
from loading.planner.search.goods import goods_of
from loading.planner.search.pieces import awkward, height_used, lengthwise
from loading.planner.search.warming import tiny_request

HIGH_MM = 2400


def _request(**changes: object) -> LoadRequest:
    """Two cartons, the second with changes, and a truck 2 m long, 1.2 m wide and 2.4 m high."""
    request = tiny_request()
    first, second = request.items
    changed: Item = replace(second, **changes)  # type: ignore[arg-type] # any field
    truck = replace(request.truck, interior_mm=(2000, 1200, HIGH_MM), door_mm=(1200, HIGH_MM))
    return replace(request, truck=truck, items=(first, changed))


def test_what_bears_nothing_makes_use_of_its_own_height_only() -> None:
    goods, _ = goods_of(_request(size_mm=(1100, 300, 1200), bears_g=0))
    assert height_used(goods)[1] == pytest.approx(0.5)


def test_what_bears_little_makes_use_of_that_too() -> None:
    # 24 kg on 1 m2 at 120 kg/m3 come to 200 mm.
    goods, _ = goods_of(_request(size_mm=(1000, 1000, 1000), bears_g=24_000))
    assert height_used(goods)[1] == pytest.approx(0.5)
    goods, _ = goods_of(_request(size_mm=(1000, 1000, 1000), bears_g=36_000))
    assert height_used(goods)[1] == pytest.approx((1000 + 300) / HIGH_MM)


def test_what_bears_much_makes_use_of_all() -> None:
    goods, _ = goods_of(_request(size_mm=(400, 400, 400), bears_g=100_000))
    assert height_used(goods)[1] == 1.0


def test_a_piece_longer_than_the_truck_is_wide_and_high_lies_lengthwise() -> None:
    goods, _ = goods_of(_request(size_mm=(1900, 300, 300)))
    assert lengthwise(goods) == [1]
    assert awkward(goods).tolist() == [1]
