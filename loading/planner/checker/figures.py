"""What the checker measures of a plan."""

from loading.planner.checker.dock import DockFigures
from loading.planner.checker.footing import Footing
from loading.planner.checker.layout import TOLERANCE_MM, Layout
from loading.planner.checker.support import held_share
from loading.planner.checker.tiers import bodies_by_tier, depth_mm
from loading.planner.checker.tightness import Travels
from loading.planner.checker.weight import supports_g, total_g, twice_moment_off_middle
from loading.planner.plan import LoadPlan

DEEP_MM = 1600
LIKE_MOST = 0.95


def figures(
    layout: Layout, plan: LoadPlan, travels: Travels, dock: DockFigures, given: int
) -> dict[str, object]:
    """Lengths in mm, weights in kg, floor in m2, shares 0 to 1."""
    return {
        "loaded": len(layout.pieces),
        "left_off": len(plan.left_off),
        **_length(layout),
        "side_travel": _most_and_largest(travels.side),
        "nose_travel": _most_and_largest(travels.nose),
        "pads": sum(fill.pads for fill in plan.fills),
        "fills": len(layout.fills),
        "inside": len(layout.hosts),
        "floor_peak_m2": dock.floor_peak_m2,
        "moves": dock.moves,
        "steps": len(plan.steps),
        "support_share": _support_share(layout),
        **_weights(layout),
        **_tiers(layout),
        "given": given,
    }


def _length(layout: Layout) -> dict[str, object]:
    _, width, height = layout.request.truck.interior_mm
    length = max((body.end[0] for body in layout.pieces.values()), default=0)
    ideal = sum(body.volume_mm3 for body in layout.pieces.values()) / (width * height)
    use = round(ideal / length, 4) if length else 0.0
    return {"length_mm": length, "ideal_mm": round(ideal), "space_use": use}


def _most_and_largest(travels: dict[str, int]) -> list[int]:
    """The 95th percentile (nearest rank below) and the largest."""
    ordered = sorted(travels.values())
    return [ordered[int(LIKE_MOST * (len(ordered) - 1))], ordered[-1]] if ordered else [0, 0]


def _support_share(layout: Layout) -> float:
    footing = Footing(layout)
    raised = [body for body in layout.pieces.values() if body.at[2] > TOLERANCE_MM]
    shares = [held_share(body, footing.held_mm2(body)) for body in raised]
    return round(sum(shares) / len(shares), 3) if shares else 1.0


def _weights(layout: Layout) -> dict[str, object]:
    total, names = total_g(layout), [s.name for s in layout.request.truck.supports]
    kg = [round(gross / 1000) for gross in supports_g(layout)]
    off = round(twice_moment_off_middle(layout) / (2 * total)) if total else 0
    supports = dict(zip(names, kg, strict=True))
    return {"supports_kg": supports, "load_kg": round(total / 1000), "off_centre_mm": off}


def _tiers(layout: Layout) -> dict[str, object]:
    """How many, their median depth by volume, and the share of deep ones."""
    tiers = sorted(
        (depth_mm(bodies), sum(body.volume_mm3 for body in bodies))
        for bodies in bodies_by_tier(layout).values()
    )
    whole, below, median = sum(volume for _, volume in tiers), 0, 0
    for depth, volume in tiers:
        below += volume
        median = depth
        if 2 * below >= whole:
            break
    deep = sum(1 for depth, _ in tiers if depth > DEEP_MM)
    share = round(deep / len(tiers), 2) if tiers else 0.0
    return {"tiers": len(tiers), "tier_depth_mm": median, "deep_tiers": share}
