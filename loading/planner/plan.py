"""The load plan: what to do, step by step, and where each piece stands (form `load-plan/1`).

Reading checks only the form. Whether the plan keeps the rules is for the checker.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from loading.planner.errors import PlanError, said
from loading.planner.reading import LENGTH_MAX_MM, Faults, Node, described, not_among

FORM = "load-plan/1"
POSTURES = ("standing", "on_side", "on_end")
LEVELS = ("base", "middle", "top")
# What each step names besides what is done.
STEP_KEYS: Mapping[str, tuple[str, ...]] = {
    "move": ("vault", "lane"),
    "pull": ("vault",),
    "unpack": ("tag",),
    "fetch": ("tag",),
    "load": ("tag",),
    "fill": ("fill",),
    "close": ("tier",),
    "clear": ("vault",),
    "return": ("tag",),
    "store": ("vault", "lane"),
    "take_out": ("tag",),
}
ENTRIES_MAX = 100_000

Size = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do; `do` says which of the other fields it names."""

    do: str
    vault: str | None = None
    lane: str | None = None
    tag: str | None = None
    fill: int | None = None
    tier: int | None = None


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a piece stands. `size_mm` is as loaded and turned; `inside` is its host's tag."""

    tag: str
    tier: int
    level: str
    at_mm: Size
    size_mm: Size
    posture: str
    inside: str | None = None


@dataclass(frozen=True, slots=True)
class Fill:
    """Rolled pads in a gap."""

    fill: int
    tier: int
    at_mm: Size
    size_mm: Size
    pads: int


@dataclass(frozen=True, slots=True)
class LeftOff:
    """A piece that does not go along, and why."""

    tag: str
    reason: str


@dataclass(frozen=True, slots=True)
class LoadPlan:
    """A whole plan; `request` is the name of the request it answers."""

    request: str
    steps: tuple[Step, ...]
    placements: tuple[Placement, ...]
    fills: tuple[Fill, ...] = ()
    left_off: tuple[LeftOff, ...] = ()
    warnings: tuple[str, ...] = ()
    figures: Mapping[str, object] = field(default_factory=dict, hash=False)


def parse_plan(document: object) -> LoadPlan:
    """The plan in a parsed JSON document. Raises PlanError with every fault."""
    faults = Faults()
    root = Node.root(document, faults)
    if root.has("form") and root.text("form") != FORM:
        root.fault(said("must be %(form)s", form=FORM), "form")
    figures = root.child_or_none("figures", optional=True)
    plan = LoadPlan(
        request=root.text("request"),
        steps=tuple(read_step(node, strict=False) for node in _entries(root, "steps")),
        placements=tuple(
            read_placement(node, strict=False) for node in _entries(root, "placements")
        ),
        fills=tuple(read_fill(node) for node in _entries(root, "fills", optional=True)),
        left_off=tuple(_read_left_off(node) for node in _entries(root, "left_off", optional=True)),
        warnings=root.texts("warnings", most=ENTRIES_MAX) if root.has("warnings") else (),
        figures=dict(figures.value) if figures and isinstance(figures.value, dict) else {},
    )
    if faults:
        raise PlanError(faults.all())
    return plan


def _entries(root: Node, key: str, *, optional: bool = False) -> list[Node]:
    return list(root.objects(key, most=ENTRIES_MAX, optional=optional))


def _read_left_off(node: Node) -> LeftOff:
    value = node.value.get("reason") if isinstance(node.value, dict) else None
    # A missing reason breaks rule R1, not the form.
    return LeftOff(tag=node.text("tag"), reason=value if isinstance(value, str) else "")


def read_step(node: Node, *, strict: bool) -> Step:
    """A step; if strict, one that the contract does not know is a fault."""
    do = node.text("do")
    if strict and do and do not in STEP_KEYS:
        node.fault(not_among(tuple(STEP_KEYS), described(do)), "do")
    named = STEP_KEYS.get(do, ())
    return Step(
        do=do,
        vault=node.text("vault") if "vault" in named else None,
        lane=node.text("lane") if "lane" in named else None,
        tag=node.text("tag") if "tag" in named else None,
        fill=node.whole("fill") if "fill" in named else None,
        tier=node.whole("tier") if "tier" in named else None,
    )


def read_placement(node: Node, *, strict: bool) -> Placement:
    """A placement; if strict, its posture and level must be words of the contract."""
    return Placement(
        tag=node.text("tag"),
        tier=node.whole("tier"),
        level=node.choice("level", LEVELS) if strict else node.text_or_none("level") or "",
        at_mm=node.three("at_mm", low=-LENGTH_MAX_MM),
        size_mm=node.three("size_mm", low=1 if strict else 0),
        posture=node.choice("posture", POSTURES) if strict else node.text("posture"),
        inside=node.text_or_none("inside", optional=True),
    )


def read_fill(node: Node) -> Fill:
    return Fill(
        fill=node.whole("fill"),
        tier=node.whole("tier"),
        at_mm=node.three("at_mm", low=-LENGTH_MAX_MM),
        size_mm=node.three("size_mm", low=0),
        pads=node.whole("pads"),
    )


def plan_document(plan: LoadPlan) -> dict[str, object]:
    """The plan as a JSON document, the inverse of `parse_plan`."""
    return {
        "form": FORM,
        "request": plan.request,
        "steps": [step_document(step) for step in plan.steps],
        "placements": [placement_document(placement) for placement in plan.placements],
        "fills": [fill_document(fill) for fill in plan.fills],
        "left_off": [{"tag": left.tag, "reason": left.reason} for left in plan.left_off],
        "warnings": list(plan.warnings),
        "figures": dict(plan.figures),
    }


def step_document(step: Step) -> dict[str, object]:
    named = STEP_KEYS.get(step.do, ())
    return {"do": step.do} | {key: getattr(step, key) for key in named}


def placement_document(placement: Placement) -> dict[str, object]:
    return {
        "tag": placement.tag,
        "tier": placement.tier,
        "level": placement.level,
        "at_mm": list(placement.at_mm),
        "size_mm": list(placement.size_mm),
        "posture": placement.posture,
        "inside": placement.inside,
    }


def fill_document(fill: Fill) -> dict[str, object]:
    return {
        "fill": fill.fill,
        "tier": fill.tier,
        "at_mm": list(fill.at_mm),
        "size_mm": list(fill.size_mm),
        "pads": fill.pads,
    }
