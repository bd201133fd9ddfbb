"""A truck (or a tractor with its trailer) described by its axles, an optional part of its record.

Each axle says which support's load it takes, and how many percent of it: a tandem under the rear
support takes 50 and 50; a kingpin's load on a tractor goes by statics to its steering and its
driving axles, 10, 45 and 45 say. `tare_g` is what the axle weighs with the truck empty.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from loading.planner.errors import Fault, said
from loading.planner.reading import LENGTH_MAX_MM, Faults, Node
from loading.planner.request import Support
from loading.road.bridge import AxleWeight
from loading.road.statics import Shares

AXLES_MAX = 20
WEIGHT_SLACK_G = 1_000


@dataclass(frozen=True, slots=True)
class Axle:
    """`limit_g` is the axle's own rating (plate, tyres), or None where only the law limits it."""

    x_mm: int
    tare_g: int
    support: str
    percent: int
    limit_g: int | None = None


def parse_axles(
    document: object, supports: tuple[Support, Support]
) -> tuple[tuple[Axle, ...], tuple[Fault, ...]]:
    """The axles of a list of objects (x_mm, tare_kg, support, percent, limit_kg or null).

    Gives the axles and every fault, each with the JSON pointer of its key below /axles. No axles
    at all are no fault: the truck is then judged by its supports alone.
    """
    faults = Faults()
    root = Node.root({"axles": document}, faults)
    names = tuple(support.name for support in supports)
    axles = tuple(_read_axle(node, names) for node in root.objects("axles", most=AXLES_MAX))
    if not faults and axles:
        _note_contradictions(root, axles, supports)
    return axles, tuple(faults.all())


def _read_axle(node: Node, supports: Sequence[str]) -> Axle:
    limited = isinstance(node.value, dict) and node.value.get("limit_kg") is not None
    return Axle(
        x_mm=node.whole("x_mm", low=-LENGTH_MAX_MM, high=LENGTH_MAX_MM),
        tare_g=node.grams("tare_kg"),
        support=node.choice("support", tuple(supports)),
        percent=node.whole("percent", low=1, high=100),
        limit_g=node.grams("limit_kg") if limited else None,
    )


def _note_contradictions(
    root: Node, axles: tuple[Axle, ...], supports: tuple[Support, Support]
) -> None:
    for support in supports:
        percents = sum(axle.percent for axle in axles if axle.support == support.name)
        if percents != 100:
            root.fault(
                said(
                    "take %(percents)s percent of %(support)s, not 100",
                    percents=percents,
                    support=support.name,
                ),
                "axles",
            )
    tare_g, of_supports = sum(a.tare_g for a in axles), sum(s.tare_g for s in supports)
    if abs(tare_g - of_supports) > WEIGHT_SLACK_G:
        fault = said(
            "weigh %(axles)s kg empty, the supports %(supports)s kg",
            axles=f"{tare_g / 1000:g}",
            supports=f"{of_supports / 1000:g}",
        )
        root.fault(fault, "axles")
    if len({axle.x_mm for axle in axles}) < len(axles):
        root.fault(said("stand in one place"), "axles")


def axle_weights(
    axles: Sequence[Axle], supports: tuple[Support, Support], shares_g: Shares
) -> tuple[AxleWeight, ...]:
    """What each axle weighs when the load puts these shares on the supports, in their order."""
    on = {support.name: share for support, share in zip(supports, shares_g, strict=True)}
    return tuple(
        AxleWeight(axle.x_mm, axle.tare_g + on[axle.support] * Fraction(axle.percent, 100))
        for axle in axles
    )
