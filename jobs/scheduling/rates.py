"""How long work takes: by kind of work and number of people, never by person.

There is no published figure for moving work. The defaults are a first guess, to be set by the
company and to be corrected by its own days: `rates_estimate` does that from what was observed,
and every rate says from how many observations it comes (0: nobody has measured it).
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Final


class RatesError(ValueError):
    """A document of rates makes no sense; the message names the entry and the key."""


@dataclass(frozen=True, slots=True)
class Rate:
    """What a kind of work takes with so many people, in ms: at least, per kg, per m, per pad.

    `spread_pct` is how far single tasks are typically off; `observations` how many there were.
    """

    kind: str
    people: int
    base_ms: int
    per_kg_ms: int = 0
    per_m_ms: int = 0
    per_pad_ms: int = 0
    spread_pct: int = 40
    observations: int = 0


@dataclass(frozen=True, slots=True)
class WorkRates:
    """One rate for each kind and number of people."""

    rates: tuple[Rate, ...]

    def rate(self, kind: str, people: int) -> Rate:
        """That of the kind with so many people; failing that, with the nearest number of them."""
        same = [rate for rate in self.rates if rate.kind == kind]
        if not same:
            return Rate(kind, people, 60_000)
        return min(same, key=lambda rate: (abs(rate.people - people), rate.people))


@dataclass(frozen=True, slots=True)
class Observation:
    """One task that was done, and how long it took from its beginning to its end."""

    kind: str
    people: int
    took_s: int
    weight_g: int = 0
    distance_mm: int = 0
    pads: int = 0


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the work ends: likely, and from when until when in four days out of five.

    `observations` is the number behind the rate that is known least.
    """

    likely_s: int
    early_s: int
    late_s: int
    observations: int


@dataclass(frozen=True, slots=True)
class WorkLeft:
    """A task that is still to be done, as far as the range of the forecast depends on it."""

    kind: str
    people: int
    takes_s: int


def _default(kind: str, base_s: int, kg: int = 0, m: int = 0, pad: int = 0) -> tuple[Rate, Rate]:
    """Alone and by two; two are about as quick per kg with twice the weight."""
    alone = Rate(kind, 1, base_s * 1000, kg, m, pad)
    by_two = Rate(kind, 2, base_s * 1000, kg // 2, m, pad * 3 // 5)
    return alone, by_two


DEFAULT_RATES: Final = WorkRates(
    (
        *_default("move", 180),
        *_default("pull", 150),
        *_default("store", 150),
        *_default("stow", 150),
        *_default("unpack", 25, kg=300),
        *_default("fetch", 60, kg=300),
        *_default("return", 40, kg=300),
        *_default("wrap", 30, pad=40_000),
        # There with the piece and back without: two ways at about 1.3 m/s.
        *_default("carry", 15, kg=200, m=1500),
        *_default("load", 35, kg=400),
        *_default("take_out", 35, kg=400),
        *_default("fill", 30, pad=20_000),
        *_default("close", 60),
        *_default("clear", 45),
    )
)
"""A guess of ours, without a source; replace it by the company's own days."""

PRIOR_OBSERVATIONS: Final = 5
"""So many observations are needed until they weigh as much as the rate there was."""
_LEAST_SPREAD_PCT: Final = 5
_RANGE: Final = 1.2816
"""Of a normal distribution, four in five lie within so many standard deviations."""


def duration_s(
    rates: WorkRates,
    *,
    kind: str,
    people: int = 1,
    weight_g: int = 0,
    distance_mm: int = 0,
    pads: int = 0,
) -> int:
    """Seconds that a task takes, at least 1."""
    return max(1, round(_expected_ms(rates.rate(kind, people), weight_g, distance_mm, pads) / 1000))


def _expected_ms(rate: Rate, weight_g: int, distance_mm: int, pads: int) -> float:
    by_weight = rate.per_kg_ms * weight_g / 1000
    by_distance = rate.per_m_ms * distance_mm / 1000
    return max(1.0, rate.base_ms + by_weight + by_distance + rate.per_pad_ms * pads)


def rates_estimate(former: WorkRates, observations: Iterable[Observation]) -> WorkRates:
    """The rates that the observations speak for.

    For each kind and number of people the median of observed over expected time, as a
    logarithm, is weighed against the former rate, which counts as a few observations; so a
    forgotten phone or one odd piece moves little. Observations below a second are left out.
    """
    by_rate: defaultdict[tuple[str, int], list[float]] = defaultdict(list)
    for seen in observations:
        if seen.took_s >= 1:
            rate = former.rate(seen.kind, seen.people)
            expected = _expected_ms(rate, seen.weight_g, seen.distance_mm, seen.pads)
            by_rate[seen.kind, seen.people].append(math.log(seen.took_s * 1000 / expected))
    renewed = {(rate.kind, rate.people): rate for rate in former.rates}
    for (kind, people), errors in by_rate.items():
        base = replace(former.rate(kind, people), kind=kind, people=people)
        known = base.observations if (kind, people) in renewed else 0
        renewed[kind, people] = _corrected(replace(base, observations=known), errors)
    return WorkRates(tuple(renewed.values()))


def _corrected(rate: Rate, errors: Sequence[float]) -> Rate:
    """Scaled by the median error; an old rate with many observations moves slowly."""
    middle, count = median(errors), len(errors)
    weight = PRIOR_OBSERVATIONS + min(rate.observations, 200)
    factor = math.exp(middle * count / (count + weight))
    # 1.4826 times the median deviation estimates a standard deviation.
    seen_pct = 148.26 * median(abs(error - middle) for error in errors)
    spread_pct = (seen_pct * count + rate.spread_pct * weight) / (count + weight)
    return replace(
        rate,
        base_ms=round(rate.base_ms * factor),
        per_kg_ms=round(rate.per_kg_ms * factor),
        per_m_ms=round(rate.per_m_ms * factor),
        per_pad_ms=round(rate.per_pad_ms * factor),
        spread_pct=max(_LEAST_SPREAD_PCT, round(spread_pct)),
        observations=rate.observations + count,
    )


def forecast_end(
    rates: WorkRates, left: Sequence[WorkLeft], *, end_s: int, now_s: int = 0
) -> Forecast:
    """The range around a schedule's end.

    Two things are uncertain: each task for itself, which evens out over many, and each rate as
    a whole, which does not, but shrinks with the observations behind it.
    """
    total = sum(work.takes_s for work in left)
    if total <= 0 or end_s <= now_s:
        return Forecast(end_s, end_s, end_s, 0)
    single, common = 0.0, defaultdict[tuple[str, int], float](float)
    for work in left:
        spread = rates.rate(work.kind, work.people).spread_pct / 100
        single += (work.takes_s * spread) ** 2
        common[work.kind, work.people] += work.takes_s * spread
    counts = {key: rates.rate(*key).observations for key in common}
    whole = sum(share**2 / (1 + counts[key]) for key, share in common.items())
    share = _RANGE * math.sqrt(single + whole) / total
    span = end_s - now_s
    return Forecast(
        likely_s=end_s,
        early_s=now_s + round(span / (1 + share)),
        late_s=now_s + round(span * (1 + share)),
        observations=min(counts.values()),
    )


def rates_document(rates: WorkRates) -> dict[str, object]:
    """The rates as JSON, for a settings row."""
    return {
        "note": "Our guess where observations is 0: there is no published figure.",
        "rates": [{key: getattr(rate, key) for key in _KEYS} for rate in rates.rates],
    }


_KEYS: Final = tuple(Rate.__dataclass_fields__)
_LEAST: Final[Mapping[str, int]] = {"people": 1, "base_ms": 0, "spread_pct": 0}


def parse_rates(document: object) -> WorkRates:
    """The inverse of `rates_document`; RatesError names the entry and the key."""
    entries = document.get("rates") if isinstance(document, dict) else None
    if not isinstance(entries, list):
        raise RatesError("rates: must be a list")
    return WorkRates(tuple(_parse_rate(f"rates[{k}]", one) for k, one in enumerate(entries)))


def _parse_rate(where: str, entry: object) -> Rate:
    if not isinstance(entry, dict) or set(entry) - set(_KEYS):
        raise RatesError(f"{where}: must be an object with the keys {', '.join(_KEYS)}")
    if not isinstance(entry.get("kind"), str):
        raise RatesError(f"{where}.kind: must be a text")
    for key in {"people", "base_ms", *entry} - {"kind"}:
        value = entry.get(key)
        least = _LEAST.get(key, 0)
        if isinstance(value, bool) or not isinstance(value, int) or value < least:
            raise RatesError(f"{where}.{key}: must be a whole number of at least {least}")
    return Rate(**entry)
