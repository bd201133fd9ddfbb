"""What may not ride. The words that must be found are those of the carriers' booklet
(49 CFR 375 App. A, read): fireworks, propane, petrol, lighter fluid, paint and thinner, car
batteries, pool chemicals, ammunition."""

import csv

import pytest
from django.utils.translation import override

from inventory.catalogue import catalogue_kinds
from inventory.may_not_ride import FILE, LONG_TRIP_KM, Verdict, riding_cautions
from inventory.riding_texts import TEXTS


def groups(name: str, **keys: float) -> list[str]:
    return [caution.group for caution in riding_cautions(name, **keys)]


@pytest.mark.parametrize(
    ("name", "group"),
    [
        ("fireworks", "fireworks"),
        ("Propane tank, 20 lb", "gas"),
        ("can of petrol", "fuel"),
        ("Lighter Fluid", "fuel"),
        ("paint (5 cans)", "paint"),
        ("paint thinner", "paint"),
        ("car batteries", "battery"),
        ("pool chemicals", "corrosive"),
        ("box of ammunition", "ammunition"),
    ],
)
def test_what_the_booklet_names_never_rides(name: str, group: str) -> None:
    (caution,) = riding_cautions(name)
    assert (caution.group, caution.verdict) == (group, Verdict.NEVER)
    assert caution.what_to_do.startswith("Do not load.")
    assert "49 CFR" in caution.source


@pytest.mark.parametrize(
    "name",
    [
        "oak painting",
        "paint brushes",
        "printer cartridges",
        "plant stand",
        "wine rack",
        "food processor",
        "gun safe",
        "jewelry box",
        "gold frame",
        "goldfish bowl",
        "batteries not included toy",
        "matching chairs",
        "",
    ],
)
def test_what_only_sounds_like_it_rides(name: str) -> None:
    assert groups(name) == []


def test_a_harmless_phrase_does_not_hide_another_word() -> None:
    assert groups("gun safe with rifle") == ["firearm"]
    assert groups("paint brushes and paint") == ["paint"]


def test_several_reasons_are_all_told() -> None:
    assert groups("garage shelf: gasoline, bleach, weed killer") == ["fuel", "corrosive", "poison"]


def test_a_machine_with_fuel_rides_when_it_is_emptied() -> None:
    (caution,) = riding_cautions("riding mower")
    assert caution.verdict is Verdict.PREPARE
    assert groups("propane grill") == ["fuelled machine"]


def test_plants_and_food_stay_off_long_trips_only() -> None:
    assert groups("potted plants", distance_km=LONG_TRIP_KM) == []
    assert groups("potted plants", distance_km=LONG_TRIP_KM + 1) == ["plant"]
    assert groups("canned goods") == ["food"]
    assert groups("gasoline", distance_km=1) == ["fuel"]


def test_firearms_and_valuables_go_through_the_office() -> None:
    assert riding_cautions("shotgun")[0].verdict is Verdict.OFFICE
    assert riding_cautions("coin collection")[0].verdict is Verdict.OFFICE


def test_the_words_that_told_are_named() -> None:
    assert riding_cautions("two Propane Tanks")[0].words == "propane"


def test_no_kind_of_the_catalogue_is_refused() -> None:
    """The catalogue holds what a household may send; a machine has to be emptied."""
    names = [str(kind["name"]) for kind in catalogue_kinds()]
    assert {group for name in names for group in groups(name)} == {"fuelled machine"}


def test_every_line_of_the_file_can_be_reached() -> None:
    with FILE.open(encoding="utf-8", newline="") as lines:
        for line in csv.DictReader(lines):
            for word in line["words"].split(";"):
                assert line["group"] in groups(word), word
            for word in filter(None, line["but_not"].split(";")):
                assert line["group"] not in groups(word), word


def test_its_texts_are_found_for_translation_and_told_in_the_readers_language() -> None:
    with FILE.open(encoding="utf-8", newline="") as lines:
        texts = {line[key] for line in csv.DictReader(lines) for key in ("group", "what_to_do")}
    assert {str(text) for text in TEXTS} == texts
    (caution,) = riding_cautions("propane tank")
    assert (caution.said, caution.advice) == (caution.group, caution.what_to_do)
    with override("es"):
        assert caution.said == "gas"
        assert caution.advice.startswith("No cargar. Déjalo de pie al aire libre")
