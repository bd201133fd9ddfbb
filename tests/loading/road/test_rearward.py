from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from loading.road.facing import Thing
from loading.road.rearward import rearward


def box(
    tag: str | None,
    x_mm: int,
    length_mm: int = 500,
    *,
    y: tuple[int, int] = (0, 1000),
    z: tuple[int, int] = (0, 1000),
    fill: bool = False,
) -> Thing:
    at, size = (x_mm, y[0], z[0]), (length_mm, y[1] - y[0], z[1] - z[0])
    return Thing(tag, at, size, tier=1, is_fill=fill)


def forces(*tags: str) -> dict[str, Fraction]:
    return {tag: Fraction(100) for tag in tags}


def test_a_full_row_presses_on_the_end_of_the_load() -> None:
    found = rearward([box("a", 0), box("b", 500)], 1000, forces("a", "b"))
    assert (found.loose, found.on_end) == ((), 200)


def test_a_gap_of_15_cm_is_no_reason_and_more_is() -> None:
    assert rearward([box("a", 0), box("b", 650)], 1150, forces("a", "b")).loose == ()
    found = rearward([box("a", 0), box("b", 651)], 1151, forces("a", "b"))
    assert found.loose == ("a",)
    assert (found.on_loose["a"], found.on_end) == (100, 100)


def test_gaps_add_up_along_a_row() -> None:
    row = [box("a", 0), box("b", 600), box("c", 1200)]
    assert rearward(row, 1700, forces()).loose == ("a",)


def test_what_is_held_holds_those_before_it_and_feels_them() -> None:
    row = [box("a", 0), box("b", 500), box("c", 1500)]
    found = rearward(row, 2000, forces("a", "b", "c"))
    assert found.loose == ("b",)
    assert found.on_loose["b"] == 200
    assert found.on_end == 100


def test_a_tall_piece_is_stopped_by_a_low_one_that_covers_a_tenth() -> None:
    tall = box("a", 0)
    assert rearward([tall, box("b", 500, z=(0, 100))], 1000, forces()).loose == ()
    assert rearward([tall, box("b", 500, z=(0, 99))], 1000, forces()).loose == ("a",)


def test_thick_rolls_stop_nothing_and_thin_ones_do() -> None:
    row = [box("a", 0), box(None, 500, 300, fill=True), box("b", 800)]
    assert rearward(row, 1300, forces()).loose == ()
    row[1] = box(None, 500, 301, fill=True)
    assert rearward(row, 1300, forces()).loose == ("a",)


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 2), st.integers(0, 300)), max_size=8))
def test_no_force_gets_lost(cells: list[tuple[int, int, int]]) -> None:
    things = [
        box(f"{n}", 700 * column + shift, 400, y=(500 * row, 500 * row + 500))
        for n, (column, row, shift) in enumerate(cells)
    ]
    pressing = {f"{n}": Fraction(n + 1) for n in range(len(cells))}
    found = rearward(things, 7000, pressing)
    assert found.on_end + sum(found.on_loose.values()) == sum(pressing.values())
