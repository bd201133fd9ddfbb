"""What a carry asks, and what each has carried. Limits of ISO 11228-1 are from memory."""

from jobs.scheduling.carrying import (
    Carried,
    carry_assessment,
    least_laden_first,
    shift_mass,
)


def test_a_light_carton_is_for_one_and_its_index_is_told() -> None:
    found = carry_assessment(size_mm=(450, 300, 300), weight_g=8_000)
    assert found.people == 1
    # By hand: reach 25 + 15 cm, V 15 cm, D 60 cm, F 0.5 a minute over 8 h, fair grip below 75 cm:
    # 23 x .625 x .82 x .895 x .81 x .95 = 8.12 kg.
    assert abs(found.limit_g - 8_118) <= 3
    assert found.index_pct == 99
    assert not found.too_much
    assert "does not hold for carrying" in found.caution


def test_two_share_by_the_team_factor() -> None:
    alone = carry_assessment(size_mm=(450, 300, 300), weight_g=23_000)
    by_two = carry_assessment(size_mm=(450, 300, 300), weight_g=24_000)
    assert (alone.people, by_two.people) == (1, 2)
    assert by_two.limit_g == 2 * alone.limit_g * 2 // 3


def test_what_even_two_should_not_lift() -> None:
    assert not carry_assessment(size_mm=(900, 800, 700), weight_g=30_666).too_much
    assert carry_assessment(size_mm=(900, 800, 700), weight_g=30_667).too_much


def test_a_wide_piece_still_has_an_index() -> None:
    assert 100 < carry_assessment(size_mm=(2000, 1000, 900), weight_g=90_000).index_pct <= 999


def test_each_bears_an_equal_part_of_what_was_carried() -> None:
    mass = shift_mass([Carried(40_000, 2, 8_000), Carried(10_000, 1, 8_000)])
    assert (mass.carried_g, mass.limit_g, mass.share_pct) == (30_000, 10_000_000, 0)


def test_far_carries_lower_the_limit_and_half_a_shift_halves_it() -> None:
    far = [Carried(3_100_000, 1, 20_000)]
    assert shift_mass(far).limit_g == 6_000_000
    assert shift_mass(far, shift_s=4 * 3600).over
    assert not shift_mass(far).over


def test_who_has_carried_least_comes_first() -> None:
    assert least_laden_first(["a", "b", "c"], {"a": 5, "b": 2}) == ("c", "b", "a")
