"""What a tie-down counts for that bears no mark of its working load limit.

Source: 49 CFR 393.108, its tables; in pounds. A mark on the part itself always goes before.
"""

from loading.road.pounds import grams

WEBBING_LB = {"1.75in": 1_750, "2in": 2_000, "3in": 3_000, "4in": 4_000}
"""By width."""

CHAIN_LB = {
    "g30": {"1/4": 1_300, "5/16": 1_900, "3/8": 2_650, "7/16": 3_700, "1/2": 4_500, "5/8": 6_900},
    "g43": {"1/4": 2_600, "5/16": 3_900, "3/8": 5_400, "7/16": 7_200, "1/2": 9_200, "5/8": 13_000},
    "g70": {"1/4": 3_150, "5/16": 4_700, "3/8": 6_600, "7/16": 8_750, "1/2": 11_300, "5/8": 15_800},
    "g80": {"1/4": 3_500, "5/16": 4_500, "3/8": 7_100, "1/2": 12_000, "5/8": 18_100},
    "g100": {"1/4": 4_300, "5/16": 5_700, "3/8": 8_800, "1/2": 15_000, "5/8": 22_600},
}
"""By grade, then by the diameter of the link in inches; of an unreadable grade it counts as g30."""

WIRE_ROPE_LB = {
    "1/4": 1_400,
    "5/16": 2_100,
    "3/8": 3_000,
    "7/16": 4_100,
    "1/2": 5_300,
    "5/8": 8_300,
    "3/4": 10_900,
}
"""By diameter in inches."""

_TABLES = {
    "webbing": WEBBING_LB,
    **{f"chain {grade}": sizes for grade, sizes in CHAIN_LB.items()},
    "wire rope": WIRE_ROPE_LB,
}
UNMARKED_LIMITS_G = {
    f"{make} {size}": int(grams(pounds))
    for make, sizes in _TABLES.items()
    for size, pounds in sizes.items()
}
"""Every make and size ("webbing 2in", "chain g70 3/8") with its limit, rounded down."""
