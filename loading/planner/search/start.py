"""Where a search begins: an empty truck, or what has been done already (the request's progress).

What the given steps did is taken as a fact, right or wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from loading.planner.plan import Fill, Placement, Step
from loading.planner.request import LoadRequest
from loading.planner.search.arrays import (
    BEFORE,
    BOXES,
    CONTACTS,
    FIXED,
    FLOOR,
    GONE,
    HOST,
    IN_TRUCK,
    ITEM,
    KILOS,
    LEFT,
    LENGTH,
    MOMENT,
    NEXT_VAULT,
    NOSE,
    ON_FLOOR,
    OPEN,
    PLACED,
    RANK,
    ROLLS,
    TIER,
    TIERS,
    TURN,
    UNDER,
    VOLUME,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Goods,
    Ints,
    State,
)
from loading.planner.search.goods import Turn
from loading.planner.search.place import load_down, mark_face
from loading.planner.search.rolls import REST


@dataclass
class Begun:
    """What the steps of the progress have done to vaults and floor."""

    pulled: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    left: dict[str, list[str]] = field(default_factory=dict)
    floor: set[str] = field(default_factory=set)
    unclosed: int | None = None
    boxes: dict[int, Fill | str] = field(default_factory=dict)  # box: its roll, or the piece's tag


def begun_of(request: LoadRequest) -> Begun:
    """Follow the steps that were done."""
    begun = Begun(left={vault.code: list(vault.items) for vault in request.vaults})
    steps = request.progress.steps if request.progress else ()
    for step in steps:
        _follow(request, begun, step)
    if request.progress:
        closed = {step.tier for step in steps if step.do == "close"}
        tiers = {p.tier for p in request.progress.placements}
        tiers |= {f.tier for f in request.progress.fills}
        begun.unclosed = max((t for t in tiers if t not in closed), default=None)
    return begun


def _follow(request: LoadRequest, begun: Begun, step: Step) -> None:
    vault = request.vault_of(step.tag) if step.tag else None
    if step.do == "pull" and step.vault:
        begun.pulled.append(step.vault)
        begun.open.append(step.vault)
    elif step.do in ("clear", "store") and step.vault in begun.open:
        begun.open.remove(step.vault)
    elif step.do in ("unpack", "fetch", "take_out") and step.tag:
        if vault and step.tag in begun.left[vault]:
            begun.left[vault].remove(step.tag)
        begun.floor.add(step.tag)
    elif step.do == "load" and step.tag:
        if vault and step.tag in begun.left[vault]:
            begun.left[vault].remove(step.tag)
        begun.floor.discard(step.tag)
    elif step.do == "return" and step.tag:
        begun.floor.discard(step.tag)
        if vault:
            begun.left[vault].insert(0, step.tag)


def start_of(
    request: LoadRequest, goods: Goods, turns: list[list[Turn]], empty: State, begun: Begun
) -> State:
    """`empty` (with what is in the way in it) as the progress has left it; changed in place, and so
    is the order of what is inside the vaults in `goods`.

    The next tier goes on with one that is not closed yet.
    """
    state = empty
    index = {item.tag: k for k, item in enumerate(request.items)}
    if request.progress is None:
        return state
    fills = {fill.fill: fill for fill in request.progress.fills}
    places = {place.tag: place for place in request.progress.placements}
    for step in request.progress.steps:
        if step.do == "load" and step.tag in places and state.where[index[step.tag]] != IN_TRUCK:
            _put_given(goods, turns, state, places[step.tag], index)
            begun.boxes[int(state.tally[BOXES]) - 1] = step.tag
        elif step.do == "fill" and step.fill in fills:
            _put_roll(state, fills[step.fill])
            begun.boxes[int(state.tally[BOXES]) - 1] = fills[step.fill]
    state.tally[FIXED] = state.tally[BOXES]
    state.tally[TIERS] = max(
        (int(state.box[b, TIER]) for b in range(int(state.tally[BOXES]))), default=0
    )
    if begun.unclosed == state.tally[TIERS]:
        state.tally[TIERS] -= 1
    _noses(state)
    _dock(request, goods, state, begun, index)
    return state


def _put_given(
    goods: Goods,
    turns: list[list[Turn]],
    state: State,
    place: Placement,
    index: dict[str, int],
) -> None:
    i = index[place.tag]
    turn = next(
        (
            t
            for t, (posture, size, _) in enumerate(turns[i])
            if posture == place.posture and size == place.size_mm
        ),
        0,
    )
    b = _stand(state, place.at_mm, place.size_mm, i, place.tier)
    state.box[b, TURN] = turn
    if place.inside is not None:
        hosts = [k for k in range(b) if state.box[k, ITEM] == index[place.inside]]
        state.box[b, HOST] = hosts[-1] if hosts else -1
    _rest(state, b)
    state.box[b, RANK] = ("base", "middle", "top").index(place.level)
    load_down(state, np.zeros(b + 1), b, float(goods.weight[i]))
    state.where[i] = IN_TRUCK
    state.tally[PLACED] += 1
    state.tally[VOLUME] += goods.volume[i] // 1000
    state.tally[KILOS] += goods.weight[i]
    middle = 2 * place.at_mm[1] + place.size_mm[1] - int(goods.interior[1])
    state.tally[MOMENT] += int(goods.weight[i]) * middle
    state.tally[LENGTH] = max(int(state.tally[LENGTH]), int(state.box[b, X1]))


def _put_roll(state: State, fill: Fill) -> None:
    _stand(state, fill.at_mm, fill.size_mm, ROLLS, fill.tier)


def _stand(
    state: State, at: tuple[int, int, int], size: tuple[int, int, int], item: int, tier: int
) -> int:
    b = int(state.tally[BOXES])
    state.box[b, [X0, Y0, Z0]] = at
    state.box[b, [X1, Y1, Z1]] = [a + s for a, s in zip(at, size, strict=True)]
    # A given roll is in before whatever comes next; others may be laid on it.
    state.box[b, [ITEM, HOST, TIER, BEFORE, NOSE]] = item, -1, tier, b + 1, at[0]
    state.tally[BOXES] += 1
    mark_face(state, b)
    return b


def _rest(state: State, b: int) -> None:
    """Note what a given piece rests on, by contact area, straight down through rolls."""
    box = state.box[: int(state.tally[BOXES])]
    if box[b, Z0] <= 1:
        return
    areas: dict[int, float] = {}
    for o, area in _carriers(box, b, box[b]):
        areas[o] = areas.get(o, 0.0) + area
    whole = sum(areas.values())
    for k, (o, area) in enumerate(list(areas.items())[:UNDER]):
        state.under[b, k], state.share[b, k] = o, area / whole
    state.box[b, CONTACTS] = min(len(areas), UNDER)


def _carriers(box: Ints, b: int, above: Ints) -> Iterator[tuple[int, float]]:
    """The boxes before b that carry what is `above` them, each with its area (mm2)."""
    low, high = np.maximum(above[:2], box[:b, :2]), np.minimum(above[3:5], box[:b, 3:5])
    gap = above[Z0] - box[:b, Z1]
    touched = (gap >= -1) & (gap <= REST) & (high > low).all(axis=1)
    for o in np.flatnonzero(touched).tolist():
        if box[o, ITEM] != ROLLS:
            yield o, float(high[o, 0] - low[o, 0]) * float(high[o, 1] - low[o, 1])
            continue
        part = box[o].copy()
        part[[X0, Y0]], part[[X1, Y1]] = low[o], high[o]
        yield from _carriers(box, o, part)


def _noses(state: State) -> None:
    """Where the given pieces come to stand when pushed toward the nose; see `place.held_at`."""
    box = state.box[: int(state.tally[BOXES])]
    for b in np.argsort(box[:, X0], kind="stable").tolist():
        if box[b, ITEM] < 0:
            continue
        me = box[b].astype(np.int64)
        wide = np.minimum(me[Y1], box[:, Y1]) - np.maximum(me[Y0], box[:, Y0])
        high = np.minimum(me[Z1], box[:, Z1]) - np.maximum(me[Z0], box[:, Z0])
        met = (box[:, ITEM] != ROLLS) & (box[:, HOST] < 0) & (wide > 1) & (high > 1)
        met &= box[:, X1] <= me[X0] + 1
        met[b] = False
        where = (box[:, NOSE] + box[:, X1] - box[:, X0])[met]
        first = np.argsort(-where, kind="stable")
        covered = np.cumsum((wide * high)[met][first])
        need = 0.1 * float(me[Y1] - me[Y0]) * float(me[Z1] - me[Z0])
        enough = np.flatnonzero(covered >= need)
        stop = int(where[first[enough[0]]]) if len(enough) else 0
        box[b, NOSE] = max(min(stop, int(me[X0])), int(me[X0]) - 150)


def _dock(
    request: LoadRequest, goods: Goods, state: State, begun: Begun, index: dict[str, int]
) -> None:
    for v, vault in enumerate(request.vaults):
        inside = list(dict.fromkeys(begun.left[vault.code]))
        out = [tag for tag in vault.items if tag not in inside]
        # What came out stood in front of what is inside, whatever the list says.
        first, end = goods.inside[v : v + 2]
        goods.order[first:end] = [index[tag] for tag in (*out, *inside)]
        state.taken[v] = len(out)
        if vault.code in begun.open:
            state.opened[v] = 1
        elif vault.code in begun.pulled:
            state.opened[v] = LEFT + int(state.tally[GONE])
            state.tally[GONE] += 1
    state.tally[OPEN] = len(begun.open)
    state.tally[NEXT_VAULT] = len(begun.pulled)
    for tag in begun.floor:
        state.where[index[tag]] = ON_FLOOR
        state.tally[FLOOR] += goods.area[index[tag]]


__all__ = ["Begun", "begun_of", "start_of"]
