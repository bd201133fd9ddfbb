"""From the arrays of a finished search to a load plan."""

from __future__ import annotations

from collections.abc import Sequence

from loading.planner.plan import Fill, LeftOff, LoadPlan, Placement, Step
from loading.planner.request import LoadRequest
from loading.planner.search.arrays import (
    BEFORE,
    BOXES,
    CONTACTS,
    FIXED,
    HOST,
    ITEM,
    LEFT,
    RANK,
    ROLLS,
    TIER,
    TURN,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Goods,
    State,
)
from loading.planner.search.goods import Turn
from loading.planner.search.rolls import pads_of
from loading.planner.search.sequence import Pulls, steps_of
from loading.planner.search.start import Begun

LEVEL_NAMES = ("base", "middle", "top")


def plan_of(
    request: LoadRequest,
    goods: Goods,
    turns: list[list[Turn]],
    state: State,
    order: Sequence[str],
    pulls: Pulls,
    reasons: dict[str, str],
    begun: Begun,
) -> LoadPlan:
    """The plan that a state stands for; `reasons` says why each piece that is not in it is not."""
    boxes = range(int(state.tally[BOXES]))
    pieces = [b for b in boxes if state.box[b, ITEM] >= 0]
    rolls = [b for b in boxes if state.box[b, ITEM] == ROLLS]
    numbers = _numbers(rolls, begun)
    levels = _levels(goods, state, pieces)
    leaving = {
        vault.code: int(state.opened[v])
        for v, vault in enumerate(request.vaults)
        if state.opened[v] >= LEFT
    }
    placed = {int(state.box[b, ITEM]) for b in pieces}
    return LoadPlan(
        request=request.name,
        steps=steps_of(
            request, order, pulls, leaving, begun, _tiers(request, state, pieces, rolls, numbers)
        ),
        placements=tuple(_placement(request, turns, state, b, levels[b], begun) for b in pieces),
        fills=tuple(_fill(state, b, numbers[b], begun) for b in rolls),
        left_off=tuple(
            LeftOff(item.tag, reasons[item.tag])
            for k, item in enumerate(request.items)
            if item.leaves and k not in placed
        ),
    )


def _numbers(rolls: list[int], begun: Begun) -> dict[int, int]:
    """A number for each roll; given ones keep theirs."""
    given = {b: f.fill for b, f in begun.boxes.items() if isinstance(f, Fill)}
    after = max(given.values(), default=0)
    new = [b for b in rolls if b not in given]
    return given | {b: after + k for k, b in enumerate(new, 1)}


def _tiers(
    request: LoadRequest, state: State, pieces: list[int], rolls: list[int], numbers: dict[int, int]
) -> list[tuple[int, list[Step]]]:
    """Each tier's load and fill steps: rolls go in before the piece that would bar their way."""
    out: list[tuple[int, list[Step]]] = []
    given = int(state.tally[FIXED])
    pieces, rolls = [b for b in pieces if b >= given], [b for b in rolls if b >= given]
    for tier in sorted({int(state.box[b, TIER]) for b in (*pieces, *rolls)}):
        waiting = [b for b in rolls if state.box[b, TIER] == tier]
        actions: list[Step] = []
        for b in (b for b in pieces if state.box[b, TIER] == tier):
            due = [r for r in waiting if state.box[r, BEFORE] == b]
            actions += [Step("fill", fill=numbers[r]) for r in due]
            waiting = [r for r in waiting if r not in due]
            actions.append(Step("load", tag=request.items[int(state.box[b, ITEM])].tag))
        actions += [Step("fill", fill=numbers[r]) for r in waiting]
        out.append((tier, actions))
    return out


def _placement(
    request: LoadRequest,
    turns: list[list[Turn]],
    state: State,
    b: int,
    level: int,
    begun: Begun,
) -> Placement:
    if b in begun.boxes and request.progress is not None:
        return next(p for p in request.progress.placements if p.tag == begun.boxes[b])
    row = [int(v) for v in state.box[b]]
    posture, size, _ = turns[row[ITEM]][row[TURN]]
    host = row[HOST]
    return Placement(
        tag=request.items[row[ITEM]].tag,
        tier=row[TIER],
        level=LEVEL_NAMES[level],
        at_mm=(row[X0], row[Y0], row[Z0]),
        size_mm=size,
        posture=posture,
        inside=request.items[int(state.box[host, ITEM])].tag if host >= 0 else None,
    )


def _fill(state: State, b: int, number: int, begun: Begun) -> Fill:
    given = begun.boxes.get(b)
    if isinstance(given, Fill):
        return given
    row = [int(v) for v in state.box[b]]
    size = row[X1] - row[X0], row[Y1] - row[Y0], row[Z1] - row[Z0]
    pads = int(pads_of(*size))
    return Fill(number, row[TIER], (row[X0], row[Y0], row[Z0]), size, pads)


def _levels(goods: Goods, state: State, pieces: list[int]) -> dict[int, int]:
    """Base on the deck, then middle, then top, within what R6 and the request allow."""
    below = {
        b: [
            int(s)
            for s in state.under[b, : int(state.box[b, CONTACTS])]
            if state.box[s, ITEM] >= 0 and s != state.box[b, HOST]
        ]
        for b in pieces
    }
    most: dict[int, int] = {}
    for b in reversed(pieces):
        fixed = int(goods.level[state.box[b, ITEM]])
        most[b] = min(most.get(b, 2), fixed if fixed >= 0 else 2)
        for s in below[b]:
            most[s] = min(most.get(s, 2), most[b])
    high = int(goods.interior[2])
    level: dict[int, int] = {}
    for b in pieces:
        if b < state.tally[FIXED]:
            level[b] = int(state.box[b, RANK])
            continue
        fixed = int(goods.level[state.box[b, ITEM]])
        z0, z1 = int(state.box[b, Z0]), int(state.box[b, Z1])
        wish = 0 if z0 == 0 else 2 if z0 + z1 > 1.3 * high else 1
        least = max((level[s] for s in below[b]), default=0)
        level[b] = fixed if fixed >= 0 else max(least, min(wish, most[b]))
    return level
