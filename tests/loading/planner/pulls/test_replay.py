import pytest

from loading.planner.pulls.replay import replay
from loading.planner.pulls.stacks import Stacks

# Lane 0: rank 0 under rank 2; lane 1: rank 1; lane 2: empty, one slot.
STACKS = Stacks.of_full([[0, 2], [1], []], [2, 2, 1])
RIGHT = [(0, 2), (0, -1), (1, -1), (2, -1)]


def test_a_right_answer_has_no_faults() -> None:
    judged = replay(STACKS, RIGHT, restricted=True)
    assert (judged.faults, judged.moves) == ((), 1)


@pytest.mark.parametrize(
    ("moves", "fault"),
    [
        (RIGHT[:-1], "1 do not leave"),
        ([], "3 do not leave"),
        ([(3, 0)], "move 1: nothing stands in lane 3"),
        ([(2, 0)], "move 1: nothing stands in lane 2"),
        ([(-1, 0)], "move 1: nothing stands in lane -1"),
        ([(0, -1)], "move 1: rank 2 leaves at turn 0"),
        ([(0, 0)], "move 1: 0 is no other lane"),
        ([(0, 3)], "move 1: 3 is no other lane"),
        ([(0, -2)], "move 1: -2 is no other lane"),
        ([(1, 2)], "move 1: lane 1 holds none whose turn it is"),
        ([(0, 2), (0, -1), (1, 2)], "move 3: lane 2 is full"),
    ],
)
def test_a_wrong_answer_is_told(moves: list[tuple[int, int]], fault: str) -> None:
    assert replay(STACKS, moves, restricted=True).faults == (fault,)


def test_unrestricted_lets_any_vault_move() -> None:
    moves = [(1, 2), (0, 1), (0, -1), (2, -1), (1, -1)]
    assert replay(STACKS, moves, restricted=True).faults
    assert replay(STACKS, moves, restricted=False).faults == ()


def test_a_slot_skipped_at_the_start_is_lost_until_its_front_has_left() -> None:
    stacks = Stacks(((1, 0), (2,)), ((1, 3), (1,)), (3, 1), 3)
    assert replay(stacks, [(1, 0)], restricted=False).faults == ("move 1: lane 0 is full",)
    moves = [(0, -1), (0, -1), (1, 0), (0, -1)]
    assert replay(stacks, moves, restricted=False).faults == ()


def test_a_vault_that_stays_does_not_leave() -> None:
    stacks = Stacks(((1,), ()), ((1,), ()), (1, 1), 1)
    assert replay(stacks, [(0, -1)], restricted=False).faults == (
        "move 1: rank 1 leaves at turn 1",
    )
