"""Pieces that are harder to find a place for than others, and in what way."""

from __future__ import annotations

import numpy as np

from loading.planner.search.arrays import Goods, Longs, Reals
from loading.planner.search.score import LOWEST

LONG_MM = 1700
DENSITY_KG = 120.0  # kg/m3 of what rests on a piece


def lengthwise(goods: Goods) -> list[int]:
    """Pieces that can only lie along the truck, in a long place: they go early or not at all."""
    long: list[int] = []
    for i in range(len(goods.weight)):
        size = goods.size[i, : goods.turns[i]]
        fits = (size[:, 1] <= goods.interior[1]) & (size[:, 2] <= goods.interior[2])
        if fits.any() and size[fits, 0].min() > LONG_MM:
            long.append(i)
    return long


def height_used(goods: Goods) -> Reals:
    """(n,): share of the truck's height that a piece on the deck and all it carries make use of."""
    high = float(goods.interior[2])
    dx, dy, dz = (goods.size[:, :, axis].astype(float) for axis in range(3))
    carried = goods.bears[:, None] * 1e-3 / (DENSITY_KG * np.maximum(1.0, dx * dy) * 1e-6) * 1000.0
    used = np.minimum(high, dz + np.where(carried < LOWEST, 0.0, carried)) / high
    allowed = np.arange(dz.shape[1])[None, :] < goods.turns[:, None]
    return np.where(allowed, used, 0.0).max(axis=1)


def awkward(goods: Goods) -> Longs:
    """The fifth of the pieces that are hardest to find a place for: long, or large and weak."""
    longest = goods.size.max(axis=(1, 2)).astype(float)
    weak = np.where(goods.bears < 20_000, 1.5, 1.0)
    order = np.argsort(-longest * weak * np.cbrt(goods.volume.astype(float)), kind="mergesort")
    return order[: max(1, len(order) // 5)]
