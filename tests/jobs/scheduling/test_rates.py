"""Rates by kind of work and crew size, and the forecast."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling.rates import (
    DEFAULT_RATES,
    Observation,
    Rate,
    RatesError,
    WorkLeft,
    WorkRates,
    duration_s,
    forecast_end,
    parse_rates,
    rates_document,
    rates_estimate,
)
from jobs.scheduling.tasks import TaskKind

CARRY = WorkRates((Rate("carry", 1, 10_000, per_kg_ms=200, per_m_ms=1000),))


def seen(*took_s: int) -> list[Observation]:
    return [Observation("carry", 1, took, weight_g=20_000, distance_mm=6_000) for took in took_s]


def carry_s(rates: WorkRates) -> int:
    return duration_s(rates, kind="carry", weight_g=20_000, distance_mm=6_000)


def test_a_task_takes_its_base_and_so_much_for_weight_way_and_pads() -> None:
    assert carry_s(CARRY) == 10 + 20 * 0.2 + 6
    wrap = WorkRates((Rate("wrap", 2, 5_000, per_pad_ms=30_000),))
    assert duration_s(wrap, kind="wrap", people=2, pads=3) == 95


def test_every_kind_of_work_has_a_default_that_nobody_has_measured() -> None:
    assert {rate.kind for rate in DEFAULT_RATES.rates} == set(TaskKind)
    assert {rate.observations for rate in DEFAULT_RATES.rates} == {0}


def test_rates_know_no_person() -> None:
    fields = {field.name for kind in (Rate, Observation) for field in dataclasses.fields(kind)}
    assert not {name for name in fields if "person" in name or "worker" in name or "user" in name}


def test_many_observations_outweigh_the_first_guess() -> None:
    renewed = rates_estimate(CARRY, seen(*[40] * 500))
    assert carry_s(renewed) in (39, 40)
    assert renewed.rate("carry", 1).observations == 500


def test_few_observations_move_it_a_little() -> None:
    assert 20 < carry_s(rates_estimate(CARRY, seen(40))) < 26


def test_a_forgotten_phone_moves_nothing() -> None:
    usual = rates_estimate(CARRY, seen(*[20] * 9))
    assert carry_s(rates_estimate(CARRY, seen(*[20] * 9, 90_000))) == carry_s(usual) == 20


def test_other_kinds_and_sizes_stay_as_they_were() -> None:
    renewed = rates_estimate(DEFAULT_RATES, seen(200, 300))
    changed = [r for r in renewed.rates if r not in DEFAULT_RATES.rates]
    assert [(rate.kind, rate.people, rate.observations) for rate in changed] == [("carry", 1, 2)]


def test_a_size_of_crew_that_has_no_rate_gets_one_from_what_was_seen() -> None:
    by_two = Observation("carry", 2, 40, weight_g=20_000, distance_mm=6_000)
    renewed = rates_estimate(CARRY, [by_two] * 20)
    assert renewed.rate("carry", 2).observations == 20
    assert renewed.rate("carry", 1) == CARRY.rate("carry", 1)


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=30))
def test_an_estimate_lies_between_the_rate_and_what_was_seen(took_s: list[int]) -> None:
    lowest, highest = min([20, *took_s]), max([20, *took_s])
    assert lowest - 1 <= carry_s(rates_estimate(CARRY, seen(*took_s))) <= highest + 1


def test_a_forecast_is_a_range_around_the_schedule_that_observations_narrow() -> None:
    left = [WorkLeft("carry", 1, 60)] * 50
    guess = forecast_end(CARRY, left, end_s=3000)
    known = forecast_end(rates_estimate(CARRY, seen(*[20] * 400)), left, end_s=3000)
    assert guess.early_s < known.early_s < 3000 < known.late_s < guess.late_s
    assert (guess.observations, known.observations) == (0, 400)


def test_nothing_left_is_certain() -> None:
    forecast = forecast_end(CARRY, [], end_s=100, now_s=100)
    assert (forecast.early_s, forecast.likely_s, forecast.late_s) == (100, 100, 100)


def test_a_document_comes_back_the_same() -> None:
    assert parse_rates(rates_document(DEFAULT_RATES)) == DEFAULT_RATES


@pytest.mark.parametrize(
    ("document", "said"),
    [
        ({}, "rates: must be a list"),
        ({"rates": [{"kind": "carry", "people": 1}]}, r"rates\[0\].base_ms: must be a whole"),
        ({"rates": [{"kind": "carry", "people": 0, "base_ms": 1}]}, r"rates\[0\].people"),
        ({"rates": [{"kind": 1, "people": 1, "base_ms": 1}]}, r"rates\[0\].kind: must be a text"),
        ({"rates": [{"kind": "carry", "who": 1}]}, r"rates\[0\]: must be an object with"),
    ],
)
def test_a_document_that_makes_no_sense_is_refused(document: object, said: str) -> None:
    with pytest.raises(RatesError, match=said):
        parse_rates(document)
