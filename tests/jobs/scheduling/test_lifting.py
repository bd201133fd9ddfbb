"""How many people a piece takes."""

import csv
import json
from pathlib import Path

import pytest

from jobs.scheduling import lift_advice, team_limit_g
from jobs.scheduling.lifting import ONE_PERSON_LIMIT_G

DATA = Path(__file__).parents[2] / "data" / "jobs"
TEAM_LIFT = json.loads((DATA / "team_lift.json").read_text())


@pytest.mark.parametrize("vector", TEAM_LIFT["vectors"], ids=str)
def test_a_team_lifts_what_hse_l23_says(vector: dict[str, object]) -> None:
    """HSE L23, paragraphs 119-120; team_lift.json names the source."""
    each_g = [round(kg * 1000) for kg in vector["each_kg"]]
    assert team_limit_g(each_g) / 1000 == pytest.approx(vector["team_kg"], abs=0.05)


def test_one_person_lifts_at_most_the_load_constant_of_niosh() -> None:
    """niosh_constants.csv, from DHHS (NIOSH) 94-110, as given there."""
    with (DATA / "niosh_constants.csv").open() as lines:
        kilograms = [row["value"] for row in csv.DictReader(lines) if row["unit"] == "kg"]
    assert [float(kg) * 1000 for kg in kilograms] == [ONE_PERSON_LIMIT_G]


@pytest.mark.parametrize("people", [0, 5])
def test_nobody_and_more_than_four_are_no_team(people: int) -> None:
    with pytest.raises(ValueError, match=f"a team of {people}"):
        team_limit_g([20_000] * people)


@pytest.mark.parametrize(
    ("size_mm", "weight_g", "people"),
    [
        ((600, 500, 400), 23_000, 1),
        ((600, 500, 400), 23_001, 2),
        ((1500, 700, 300), 10_000, 1),
        ((1501, 300, 300), 10_000, 2),
        ((900, 701, 300), 10_000, 2),
        ((300, 900, 701), 10_000, 2),
    ],
)
def test_weight_and_size_decide_how_many(
    size_mm: tuple[int, int, int], weight_g: int, people: int
) -> None:
    assert lift_advice(size_mm=size_mm, weight_g=weight_g).people == people


def test_what_two_should_not_lift_by_hand_needs_wheels_or_straps() -> None:
    assert not lift_advice(size_mm=(900, 800, 700), weight_g=30_666).needs_equipment
    assert lift_advice(size_mm=(900, 800, 700), weight_g=30_667).needs_equipment
