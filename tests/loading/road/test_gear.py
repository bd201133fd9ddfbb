"""The straps of a truck's record: marked parts, unmarked ones by 49 CFR 393.108, bad input."""

import pytest

from loading.road.gear import UNMARKED_GEAR, parse_gear
from loading.road.pounds import grams
from tests.loading.road.facts import securement


def test_the_weakest_part_counts_whether_marked_or_not() -> None:
    told = [
        {"part": "webbing 2in", "limit_kg": None},
        {"part": "ratchet", "limit_kg": 680.4},
        {"part": "anchor", "limit_kg": 1000},
    ]
    gear, faults = parse_gear(told)
    assert faults == ()
    assert gear.weakest == ("ratchet", 680_400)
    unmarked, _ = parse_gear(told[:1])
    pounds = securement("wll_defaults")["webbing"]["2in"]
    assert unmarked.weakest == ("webbing 2in", int(grams(pounds)))


def test_a_record_without_straps_counts_as_unmarked_webbing() -> None:
    assert parse_gear([]) == (UNMARKED_GEAR, ())


@pytest.mark.parametrize(
    ("part", "pointer"),
    [
        ({"part": "hemp rope", "limit_kg": None}, "/straps/0/part"),
        ({"part": "ratchet", "limit_kg": 0}, "/straps/0/limit_kg"),
        ({"part": "", "limit_kg": 5}, "/straps/0/part"),
        ("strap", "/straps/0"),
    ],
)
def test_bad_parts_are_told_by_their_key(part: object, pointer: str) -> None:
    gear, faults = parse_gear([part])
    assert gear == UNMARKED_GEAR
    assert pointer in {fault.pointer for fault in faults}


def test_a_part_is_named_once() -> None:
    part = {"part": "ratchet", "limit_kg": 500}
    _, faults = parse_gear([part, part])
    assert [fault.pointer for fault in faults] == ["/straps"]
