"""The catalogue is whole, holds together, and is plausible beside public figures."""

import csv
from pathlib import Path
from statistics import median

import pytest

from inventory.catalogue import UNLISTED, catalogue_kinds
from inventory.lists.kind_names import name_words
from inventory.models import ItemKind
from inventory.services import catalogue_load

DATA = Path(__file__).parents[1] / "data" / "inventory"
KINDS = {str(kind["code"]): kind for kind in catalogue_kinds()}
LB_PER_G = 1 / 453.59237


def _lines(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_at_least_120_kinds_under_their_own_codes() -> None:
    assert len(KINDS) == len(catalogue_kinds()) >= 120
    assert UNLISTED in KINDS


def test_no_name_means_two_kinds() -> None:
    meant: dict[frozenset[str], str] = {}
    for code, kind in KINDS.items():
        for name in (kind["name"], *kind["words"]):
            words = frozenset(name_words(str(name)))
            assert meant.setdefault(words, code) == code, name


def test_every_kind_fits_a_doorway_somehow() -> None:
    for code, kind in KINDS.items():
        sides = sorted(int(kind[f"{side}_mm"]) for side in ("length", "width", "height"))
        assert sides[1] <= 2000, code


def test_openings_lie_inside_their_kind() -> None:
    open_kinds = [kind for kind in KINDS.values() if kind["openings"]]
    assert open_kinds
    for kind in open_kinds:
        size = [kind["length_mm"], kind["width_mm"], kind["height_mm"]]
        for opening in kind["openings"]:
            for at, length, outside in zip(opening["at_mm"], opening["size_mm"], size, strict=True):
                assert at >= 0
                assert length > 0
                assert at + length <= outside, kind["code"]


def test_wrapped_kinds_have_pads_and_cartons_none() -> None:
    for code, kind in KINDS.items():
        assert kind["wrap"] == bool(kind["pads"]), code
        assert not (kind["wrap"] and kind["carton"]), code


def test_weights_are_plausible_beside_the_public_table() -> None:
    # Source: tests/data/inventory/README.md.
    lines = _lines("household_weights.csv")
    ratios = {
        line["kind"]: KINDS[line["kind"]]["weight_g"] * LB_PER_G / float(line["weight_lb"])
        for line in lines
    }
    assert len(ratios) >= 70
    assert {kind: r for kind, r in ratios.items() if not 0.4 < r < 2.5} == {}
    assert 0.6 < median(ratios.values()) < 1.2


def test_bulk_is_plausible_beside_the_public_table() -> None:
    lines = [line for line in _lines("household_weights.csv") if line["cubic_ft"]]
    ratios = []
    for line in lines:
        kind = KINDS[line["kind"]]
        cubic_ft = kind["length_mm"] * kind["width_mm"] * kind["height_mm"] / 304.8**3
        ratios.append(cubic_ft / float(line["cubic_ft"]))
    assert min(ratios) > 0.2
    assert max(ratios) < 6
    assert 0.7 < median(ratios) < 1.6


@pytest.mark.parametrize("line", _lines("cartons.csv"), ids=lambda line: line["kind"])
def test_cartons_have_the_sizes_in_use(line: dict[str, str]) -> None:
    # Source: tests/data/inventory/README.md. Which floor side is called length is open.
    kind = KINDS[line["kind"]]
    ours = [*sorted([kind["length_mm"], kind["width_mm"]]), kind["height_mm"]]
    floor = sorted([float(line["length_in"]), float(line["width_in"])])
    theirs = [25.4 * side for side in [*floor, float(line["height_in"])]]
    assert ours == pytest.approx(theirs, abs=10)


@pytest.mark.parametrize("line", _lines("cartons_from_memory.csv"), ids=lambda line: line["kind"])
def test_mattresses_and_lamps_fill_the_cartons_that_are_in_use(line: dict[str, str]) -> None:
    # From memory, common practice: a full mattress bulges its carton's 9 in by up to 3 in.
    kind = KINDS[line["kind"]]
    ours = sorted(kind[f"{side}_mm"] for side in ("length", "width", "height"))
    theirs = sorted(25.4 * float(line[f"{side}_in"]) for side in ("length", "width", "height"))
    assert ours[1:] == pytest.approx(theirs[1:], abs=30)
    assert -10 <= ours[0] - theirs[0] <= 3 * 25.4


def test_the_migration_fills_the_catalogue_in(db: None) -> None:
    assert set(ItemKind.objects.values_list("code", flat=True)) == set(KINDS)
    sofa = ItemKind.objects.get(code="sofa-3-cushion")
    assert sofa.size_mm == (2120, 900, 830)
    assert sofa.weight_g == 74_000


def test_loading_again_keeps_the_companys_own_values(db: None) -> None:
    ItemKind.objects.filter(code="desk").update(weight_g=1)
    ItemKind.objects.filter(code="sofa-bed").delete()
    assert catalogue_load() == 1
    assert ItemKind.objects.get(code="desk").weight_g == 1
    assert catalogue_load(overwrite=True) == len(KINDS)
    assert ItemKind.objects.get(code="desk").weight_g == 59_000
