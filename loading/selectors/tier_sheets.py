"""What the loader does for each tier, in order: pieces and rolled pads, each with its place."""

from dataclasses import dataclass, replace

from loading.models import LoadPlan
from loading.planner.plan import Fill, Placement, Size, Step
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.selectors.kept import Kept
from loading.selectors.plans import plan_of
from loading.selectors.straps import TierStraps, tier_straps

RESTS_WITHIN_MM = 10


@dataclass(frozen=True, slots=True)
class TierLine:
    """A piece or a fill. `step` counts from 1 in the plan; `at_mm` and `size_mm` as loaded.

    `rests_on` names what carries it: tags, "fill 3", a blocked box, or nothing for the deck alone.
    `stop` is None when the load has but one; `left_mm` and `right_mm` are the distances to the
    left and right wall.
    """

    number: int
    step: int | None
    kind: str
    key: str
    name: str
    at_mm: Size
    size_mm: Size
    left_mm: int
    right_mm: int
    rests_on: tuple[str, ...]
    on_deck: bool
    posture: str | None = None
    level: str | None = None
    weight_g: int = 0
    inside: str | None = None
    stop: int | None = None
    fragile: bool = False
    estimated: bool = False
    pads: int | None = None
    done: bool = False


@dataclass(frozen=True, slots=True)
class TierSheet:
    """One tier; `from_mm` and `to_mm` are its rearmost and foremost x, nose to doors.

    `straps` is what holds it on the road, None where no rule asks for anything.
    """

    tier: int
    tiers: int
    from_mm: int
    to_mm: int
    weight_g: int
    pads: int
    closed_step: int | None
    lines: tuple[TierLine, ...]
    straps: TierStraps | None = None

    @property
    def depth_mm(self) -> int:
        return self.to_mm - self.from_mm

    @property
    def pieces(self) -> int:
        return sum(line.kind == "piece" for line in self.lines)


_sheets: "Kept[tuple[TierSheet, ...]]" = Kept()


def tier_sheets(*, plan: LoadPlan) -> tuple[TierSheet, ...]:
    """The loader's part of a stored plan, from the nose to the doors."""
    return _sheets.of(plan.run_id, lambda: _strapped(plan))


def _strapped(plan: LoadPlan) -> tuple[TierSheet, ...]:
    straps = tier_straps(plan=plan)
    sheets = tier_sheets_of(*plan_of(plan=plan))
    return tuple(replace(sheet, straps=straps.get(sheet.tier)) for sheet in sheets)


def tier_sheets_of(request: LoadRequest, planned: PlannedLoad) -> tuple[TierSheet, ...]:
    """The same for a plan that is not stored, without straps."""
    numbers = {placed.tier for placed in planned.placements} | {f.tier for f in planned.fills}
    tiers = sorted(numbers)
    steps = _Steps(request, planned)
    return tuple(_sheet(request, planned, steps, tier, len(tiers)) for tier in tiers)


class _Steps:
    """When each piece and fill goes in and each tier is closed: step numbers from 1."""

    def __init__(self, request: LoadRequest, planned: PlannedLoad) -> None:
        self.done = len(request.progress.steps) if request.progress else 0
        self.last: dict[tuple[str, str | int | None], int] = {}
        for number, step in enumerate(planned.steps, start=1):
            self.last[step.do, _object(step)] = number

    def of(self, do: str, what: str | int) -> int | None:
        return self.last.get((do, what))

    def is_done(self, step: int | None) -> bool:
        return step is not None and step <= self.done


def _object(step: Step) -> str | int | None:
    named = {"load": step.tag, "fill": step.fill, "close": step.tier}
    return named.get(step.do)


def _sheet(
    request: LoadRequest, planned: PlannedLoad, steps: _Steps, tier: int, tiers: int
) -> TierSheet:
    pieces = [placed for placed in planned.placements if placed.tier == tier]
    fills = [fill for fill in planned.fills if fill.tier == tier]
    entries: list[tuple[int | None, Placement | Fill]] = [
        *((steps.of("load", placed.tag), placed) for placed in pieces),
        *((steps.of("fill", fill.fill), fill) for fill in fills),
    ]
    entries.sort(key=lambda entry: (entry[0] is None, entry[0] or 0))
    # Fills do not count in a tier's depth, unless there is nothing else.
    bodies: list[Placement] | list[Fill] = pieces or fills
    return TierSheet(
        tier=tier,
        tiers=tiers,
        from_mm=min(body.at_mm[0] for body in bodies),
        to_mm=max(body.at_mm[0] + body.size_mm[0] for body in bodies),
        weight_g=sum(request.item(placed.tag).weight_g for placed in pieces),
        pads=sum(fill.pads for fill in fills),
        closed_step=steps.of("close", tier),
        lines=tuple(
            _line(request, planned, number, step, body, done=steps.is_done(step))
            for number, (step, body) in enumerate(entries, start=1)
        ),
    )


def _line(
    request: LoadRequest,
    planned: PlannedLoad,
    number: int,
    step: int | None,
    body: Placement | Fill,
    *,
    done: bool,
) -> TierLine:
    carriers = () if _is_inside(body) else _carriers(request, planned, body)
    line = TierLine(
        number=number,
        step=step,
        kind="fill",
        key=f"fill {body.fill}" if isinstance(body, Fill) else body.tag,
        name="rolled pads",
        at_mm=body.at_mm,
        size_mm=body.size_mm,
        left_mm=body.at_mm[1],
        right_mm=request.truck.interior_mm[1] - body.at_mm[1] - body.size_mm[1],
        rests_on=carriers,
        on_deck=body.at_mm[2] == 0,
        done=done,
    )
    return _with_fill(line, body) if isinstance(body, Fill) else _with_piece(line, request, body)


def _with_fill(line: TierLine, fill: Fill) -> TierLine:
    return replace(line, pads=fill.pads)


def _with_piece(line: TierLine, request: LoadRequest, placed: Placement) -> TierLine:
    item = request.item(placed.tag)
    return replace(
        line,
        kind="piece",
        name=item.name,
        posture=placed.posture,
        level=placed.level,
        weight_g=item.weight_g,
        inside=placed.inside,
        stop=item.stop if _has_several_stops(request) else None,
        fragile=item.fragile,
        estimated=item.size_from == "kind",
    )


def _has_several_stops(request: LoadRequest) -> bool:
    return any(item.stop != request.items[0].stop for item in request.items)


def _is_inside(body: Placement | Fill) -> bool:
    return isinstance(body, Placement) and body.inside is not None


def _carriers(
    request: LoadRequest, planned: PlannedLoad, body: Placement | Fill
) -> tuple[str, ...]:
    """The names of what lies directly under a body, at most 10 mm below it."""
    tops = [
        *((placed.tag, placed.at_mm, placed.size_mm) for placed in planned.placements),
        *((f"fill {fill.fill}", fill.at_mm, fill.size_mm) for fill in planned.fills),
        *((box.name, box.at_mm, box.size_mm) for box in request.truck.blocked),
    ]
    return tuple(
        name
        for name, at_mm, size_mm in tops
        if 0 <= body.at_mm[2] - at_mm[2] - size_mm[2] <= RESTS_WITHIN_MM
        and all(
            at_mm[axis] < body.at_mm[axis] + body.size_mm[axis]
            and body.at_mm[axis] < at_mm[axis] + size_mm[axis]
            for axis in (0, 1)
        )
    )
