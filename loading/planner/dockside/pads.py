"""The pad swap at the dock: storage pads come off and go back, moving pads go on from the truck.

A piece out of storage loses its storage pads and gets moving pads; one that goes back, the other
way round. Rolled pads are the truck's too. A piece taken out of the truck keeps its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from loading.planner.dockside.floor import numbered
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import Item, LoadRequest

PADS_UNTOLD = 2  # to wrap a piece that says nothing of its pads; common practice, no source


@dataclass(frozen=True, slots=True)
class PadMoment:
    """Pads once a step is done: those out of the truck's stock, and storage pads off pieces."""

    step: int
    out_of_stock: int
    storage_back: int


@dataclass(frozen=True, slots=True)
class PadBatch:
    """Moving pads that must be at the dock before this step, for all until the next batch."""

    step: int
    vault: str | None
    pads: int


@dataclass(frozen=True, slots=True)
class PadSwap:
    """`stock` is what the truck has, None if nobody said; `moments` only where pads change hands.

    `short_at` is the first step for which the stock does not suffice.
    """

    moments: tuple[PadMoment, ...]
    batches: tuple[PadBatch, ...]
    wrapping: int
    rolled: int
    storage_back: int
    stock: int | None
    short_at: int | None
    short: int

    @property
    def needed(self) -> int:
        """The most moving pads that are out of the stock at once."""
        return max((moment.out_of_stock for moment in self.moments), default=0)


def moving_pads(item: Item) -> int:
    """How many pads it travels in."""
    if not item.wrap:
        return 0
    return PADS_UNTOLD if item.pads is None else item.pads


def storage_pads(item: Item) -> int:
    """How many pads it is stored in; as many as it travels in if nobody said."""
    return moving_pads(item) if item.storage_pads is None else item.storage_pads


def pad_swap(request: LoadRequest, plan: LoadPlan) -> PadSwap:
    """Follow the pads over the steps, those of the progress too: the stock is the truck's first."""
    fills = {fill.fill: fill.pads for fill in plan.fills}
    stock = request.truck.pads
    out = back = wrapping = rolled = 0
    moments: list[PadMoment] = []
    batches: list[PadBatch] = []
    short_at: int | None = None
    for number, step in numbered(plan.steps):
        wraps, rolls, stored = _change(request, step, fills)
        if wraps or rolls or stored:
            out, back = out + wraps + rolls, back + stored
            wrapping, rolled = wrapping + wraps, rolled + rolls
            moments.append(PadMoment(number, out, back))
        if step.do == "pull" or not batches:
            batches.append(PadBatch(number, step.vault if step.do == "pull" else None, 0))
        last = batches[-1]
        batches[-1] = PadBatch(last.step, last.vault, last.pads + max(0, wraps) + rolls)
        if stock is not None and out > stock and short_at is None:
            short_at = number
    needed = max((moment.out_of_stock for moment in moments), default=0)
    return PadSwap(
        moments=tuple(moments),
        batches=tuple(batch for batch in batches if batch.pads),
        wrapping=wrapping,
        rolled=rolled,
        storage_back=back,
        stock=stock,
        short_at=short_at,
        short=0 if stock is None else max(0, needed - stock),
    )


def _change(request: LoadRequest, step: Step, fills: dict[int, int]) -> tuple[int, int, int]:
    """Moving pads that wrap, moving pads rolled, storage pads that come off; minus: the reverse."""
    if step.do == "fill" and step.fill is not None:
        return 0, fills.get(step.fill, 0), 0
    if step.tag is None or step.do not in ("unpack", "fetch", "return"):
        return 0, 0, 0
    if not request.has_item(step.tag):
        return 0, 0, 0
    item = request.item(step.tag)
    sign = -1 if step.do == "return" else 1
    # A piece that only makes way and goes back keeps its storage pads.
    if not item.leaves:
        return 0, 0, 0
    return sign * moving_pads(item), 0, sign * storage_pads(item)
