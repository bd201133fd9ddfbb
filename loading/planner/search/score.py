"""The score of a placement: goods placed against the space that nothing can use any more.

`most_score` and `score_bound` never say less than `score_of` would, so that the search need not try
what cannot win.
"""

from __future__ import annotations

from loading.planner.search.arrays import (
    AIM,
    CELL,
    FRONT,
    START,
    Goods,
    Longs,
    Reals,
    State,
)
from loading.planner.search.kernel import bare, inlined

# Weights of the score, drawn anew for every tier: Reals of this length.
(
    W_BEHIND,
    W_ABOVE,
    W_BESIDE,
    W_SIZE,
    W_HEIGHT,
    W_DEPTH,
    W_HEAVY,
    W_NOISE,
    W_DENSITY,
    W_OVER,
    W_LEAST,
    W_NOSE,
    W_SNUG,
    W_LONG,
    W_OPEN,
    W_ACROSS,
    W_LEVEL,
    W_EVEN,
) = range(18)
WEIGHTS = 18
LOWEST = 200.0  # mm: nothing is lower


@inlined
def guest_score(dx: int, dy: int, dz: int) -> float:
    """A piece in an opening costs no room: the larger the better, and always before others."""
    return 100.0 + dx * dy * dz * 1e-9


@inlined
def _behind(state: State, x: int, y: int, z: int, dy: int, dz: int) -> float:
    """Room (m3) shut in between the piece and the face, by the coarse map."""
    c0, c1 = (y + CELL // 2) // CELL, (y + dy + CELL // 2) // CELL
    r0, r1 = (z + CELL // 2) // CELL, (z + dz + CELL // 2) // CELL
    total = 0.0
    cells = 0
    for c in range(c0, min(c1, state.face.shape[0])):
        for r in range(r0, min(r1, state.face.shape[1])):
            total += x - min(x, state.face[c, r])
            cells += 1
    if cells == 0:
        return 0.0
    return total / cells * dy * dz * 1e-9


@inlined
def _above(goods: Goods, z: int, dx: int, dy: int, dz: int, extra: float, weights: Reals) -> float:
    """Room (m3) above the piece that what it may carry (g) cannot use."""
    floor = dx * dy * 1e-6
    rest = goods.interior[2] - z - dz
    use = extra * 1e-3 / (weights[W_DENSITY] * floor) * 1000.0
    if use > rest:
        use = rest
    if use < LOWEST:
        use = 0.0
    return floor * (rest - use) * 1e-3


@inlined
def _where_factor(
    goods: Goods, i: int, x: int, z: int, dx: int, dy: int, volume: float, lim: Longs,
    weights: Reals,
) -> float:  # fmt: skip
    """What height, depth and turn make of a score; never more for a larger x."""
    factor = 1.0 - weights[W_HEIGHT] * z / goods.interior[2]
    over = x + dx - lim[START] - lim[AIM]
    if over > 0:
        factor *= 1.0 / (1.0 + weights[W_OVER] * over * 1e-3)
    if lim[FRONT] == 0 and max(dx, dy) > goods.interior[1]:
        factor *= 1.0 + weights[W_LONG]
    ahead = x - lim[START]
    if ahead > 0:
        factor *= 1.0 / (1.0 + weights[W_DEPTH] * ahead * 1e-3)
    factor *= 1.0 + weights[W_ACROSS] * dy / goods.interior[1]
    heavy = goods.weight[i] * 1e-3 / (volume * 150.0)
    return float(
        factor * (1.0 + weights[W_HEAVY] * (min(heavy, 2.0) - 0.8) * (0.5 - z / goods.interior[2]))
    )


@inlined
def score_of(
    goods: Goods, state: State, i: int, x: int, y: int, z: int, dx: int, dy: int, dz: int,
    left_gap: int, right_gap: int, held: float, level: float, even: float, travel: float,
    extra: float, power: float, lim: Longs, weights: Reals,
) -> float:  # fmt: skip
    """The score of piece i at (x, y, z), turned to dx by dy by dz.

    `held`: 0 to 2, how much of its sides stand against something; `level` and `even`: 0 to 1, how
    far its top and its front go on beside it; `travel` (mm) toward the nose;
    `extra` (g): how much may rest on it there; `lim`: see `arrays`; `weights`: see `W_BEHIND` on.
    """
    volume = dx * dy * dz * 1e-9
    above = _above(goods, z, dx, dy, dz, extra, weights)
    behind = _behind(state, x, y, z, dy, dz)
    beside = 0.0
    if left_gap < weights[W_OPEN]:
        beside += left_gap * dx * dz * 1e-9
    if right_gap < weights[W_OPEN]:
        beside += right_gap * dx * dz * 1e-9
    good = volume / (
        volume + weights[W_BEHIND] * behind + weights[W_ABOVE] * above + weights[W_BESIDE] * beside
    )
    score = good * power * _where_factor(goods, i, x, z, dx, dy, volume, lim, weights)
    score *= 1.0 + weights[W_SNUG] * held
    score *= (1.0 + weights[W_LEVEL] * level) * (1.0 + weights[W_EVEN] * even)
    score *= 1.0 - weights[W_NOSE] * travel / 150.0
    return max(score, 1e-9)


@inlined
def score_bound(
    goods: Goods, i: int, x: int, z: int, dx: int, dy: int, dz: int, behind: float, power: float,
    held: float, lim: Longs, weights: Reals,
) -> float:  # fmt: skip
    """The most that piece i can score at height z, no nearer to the nose than x.

    `behind` (m3): the least room that it shuts in; `power`: what its size makes of the score;
    `held`: the most that its sides may be held.
    """
    volume = goods.volume[i] * 1e-9
    above = _above(goods, z, dx, dy, dz, float(goods.bears[i]), weights)
    good = volume / (volume + weights[W_BEHIND] * behind + weights[W_ABOVE] * above)
    score = good * power * _where_factor(goods, i, x, z, dx, dy, volume, lim, weights)
    score *= (1.0 + weights[W_LEVEL]) * (1.0 + weights[W_EVEN])
    return float(max(score * (1.0 + held * weights[W_SNUG]), 1e-9))


@bare
def _longest(goods: Goods, i: int) -> int:
    most = 0
    for t in range(goods.turns[i]):
        most = max(most, goods.size[i, t, 0], goods.size[i, t, 1])
    return most


@bare
def most_score(goods: Goods, i: int, power: float, weights: Reals) -> float:
    """An upper bound of `try_place`'s score for piece i (openings aside)."""
    volume = goods.volume[i] * 1e-9
    heavy = min(goods.weight[i] * 1e-3 / (volume * 150.0), 2.0) - 0.8
    return float(
        power
        * (1.0 + 2.0 * weights[W_SNUG])
        * (1.0 + weights[W_ACROSS])
        * (1.0 + weights[W_LEVEL])
        * (1.0 + weights[W_EVEN])
        * (1.0 + 0.5 * weights[W_HEAVY] * abs(heavy))
        * (1.0 + weights[W_LONG] if _longest(goods, i) > goods.interior[1] else 1.0)
    )
