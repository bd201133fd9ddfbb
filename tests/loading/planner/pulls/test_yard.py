from types import SimpleNamespace
from typing import Any, cast

import pytest

from loading.planner.plan import Step
from loading.planner.pulls import YardError, YardLane, yard_of
from loading.planner.request import LoadRequest
from tests.loading.planner.pulls.yards import yard


def request(lanes: list[tuple[str, int, int]], vaults: list[tuple[str, str, int, int]]) -> Any:
    """What `yard_of` reads of a request; vaults are (code, lane, depth, level)."""
    standing = [
        SimpleNamespace(code=code, lane=lane, depth=depth, level=level)
        for code, lane, depth, level in vaults
    ]
    return cast(
        LoadRequest,
        SimpleNamespace(
            lanes=[SimpleNamespace(name=n, depth=d, levels=lv) for n, d, lv in lanes],
            vaults=[v for v in standing if v.code.startswith("V")],
            other_vaults=[v for v in standing if not v.code.startswith("V")],
        ),
    )


def test_vaults_stand_far_end_first_and_low_first() -> None:
    built = yard_of(
        request(
            [("A", 2, 2), ("B", 1, 1)],
            [("V1", "A", 1, 1), ("X2", "A", 2, 2), ("X1", "A", 2, 1)],
        )
    )
    assert built == yard(("A", 2, 2, "X1 X2 V1"), ("B", 1, 1, ""))
    assert built.own == ("V1",)


def test_skipped_slots_are_lost() -> None:
    lane = yard_of(request([("A", 2, 3)], [("X1", "A", 2, 1), ("V1", "A", 1, 2)])).lanes[0]
    assert lane == yard(("A", 2, 3, "X1 . . . V1")).lanes[0]
    assert lane.free == 1
    assert lane.without("V1").free == 5


@pytest.mark.parametrize(
    ("vault", "message"),
    [
        (("V1", "C", 1, 1), "lane C, which is not listed"),
        (("V1", "A", 3, 1), "outside lane A"),
        (("V1", "A", 0, 1), "outside lane A"),
        (("V1", "A", 1, 4), "outside lane A"),
        (("V1", "A", 2, 1), "share a slot"),
    ],
)
def test_contradictions_are_told(vault: tuple[str, str, int, int], message: str) -> None:
    with pytest.raises(YardError, match=message):
        yard_of(request([("A", 2, 3)], [("X1", "A", 2, 1), vault]))


@pytest.mark.parametrize(
    ("before", "cell"),
    [("", (2, 1)), ("X1", (2, 2)), ("X1 X2", (1, 1)), ("X1 . X2", (1, 2))],
)
def test_a_vault_put_down_takes_the_next_cell(before: str, cell: tuple[int, int]) -> None:
    lane: YardLane = yard(("A", 2, 2, before)).lanes[0].with_vault("V9")
    assert lane.cell_of(lane.vaults[-1].slot) == cell


def test_a_full_lane_takes_nothing() -> None:
    with pytest.raises(YardError, match="lane A is full"):
        yard(("A", 1, 2, ". X1")).lanes[0].with_vault("V9")


def test_steps_done_change_the_yard() -> None:
    now = yard(("A", 1, 3, "V1 X1"), ("B", 1, 2, "V2"), ("C", 1, 1, "")).after(
        [
            Step("move", vault="X1", lane="B"),
            Step("pull", vault="V1"),
            Step("unpack", tag="0001"),
            Step("store", vault="V1", lane="C"),
        ]
    )
    assert now == yard(("A", 1, 3, ""), ("B", 1, 2, "V2 X1"), ("C", 1, 1, "V1"))
    assert now.standing() == ("V1", "V2")


def test_what_was_done_is_a_fact_even_if_it_could_not_be() -> None:
    now = yard(("A", 1, 3, "V1 X1"), ("B", 1, 1, "V2")).after(
        [Step("pull", vault="V1"), Step("move", vault="X1", lane="B"), Step("pull", vault="V7")]
    )
    assert [[v.code for v in lane.vaults] for lane in now.lanes] == [[], ["V2"]]
    assert now.standing() == ("V2",)
