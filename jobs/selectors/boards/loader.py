"""The loader's page: the tier that is being built, piece by piece."""

from dataclasses import dataclass

from inventory.models import User
from jobs.folding.state import IN_TRUCK, LOADED, ON_FLOOR, State
from jobs.models import Job
from jobs.selectors.boards.standing import hands_on, is_missing, stage_of
from jobs.selectors.states import state_of
from loading.models import LoadPlan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.selectors import TierLine, TierSheet, plan_of, tier_sheets

NEXT_SHOWN = 3

IN, NOW, NEXT, LATER, CANNOT = "in", "now", "next", "later", "cannot"


@dataclass(frozen=True, slots=True)
class LoaderLine:
    """A piece or a fill of the tier.

    `status` is IN, NOW, NEXT (the two after it), LATER, or CANNOT: reported missing or not
    fitting. `where` is truck, floor, vault or loose: where the piece is while it is not in.
    """

    line: TierLine
    status: str
    where: str
    vault: str | None
    carriers: tuple[User, ...]

    @property
    def is_fill(self) -> bool:
        return self.line.kind == "fill"

    @property
    def fill(self) -> int:
        return int(self.line.key.removeprefix("fill "))

    @property
    def is_in(self) -> bool:
        return self.status == IN


@dataclass(frozen=True, slots=True)
class LoaderBoard:
    """The tier in hand. `sheet` is None when all tiers are closed."""

    job: Job
    request: LoadRequest
    planned: PlannedLoad
    sheet: TierSheet | None
    lines: tuple[LoaderLine, ...]
    tiers: int

    @property
    def open_lines(self) -> tuple[LoaderLine, ...]:
        return tuple(line for line in self.lines if line.status not in (IN, CANNOT))

    @property
    def now(self) -> LoaderLine | None:
        return next(iter(self.open_lines), None)


def loader_board(*, job: Job, plan: LoadPlan, tier: int | None = None) -> LoaderBoard:
    """The first tier that is not closed, or the one asked for."""
    request, planned = plan_of(plan=plan)
    state = state_of(job)
    sheets = tier_sheets(plan=plan)
    sheet = next((s for s in sheets if _is_wanted(s, state, tier)), None)
    return LoaderBoard(
        job=job,
        request=request,
        planned=planned,
        sheet=sheet,
        lines=_lines(job, request, state, sheet) if sheet else (),
        tiers=len(sheets),
    )


def _is_wanted(sheet: TierSheet, state: State, tier: int | None) -> bool:
    return sheet.tier == tier if tier else sheet.tier not in state["closed_tiers"]


def _lines(
    job: Job, request: LoadRequest, state: State, sheet: TierSheet
) -> tuple[LoaderLine, ...]:
    hands = hands_on(job)
    drawn: list[LoaderLine] = []
    left = 0
    for line in sheet.lines:
        status = _settled(line, state)
        if status is None:
            status = (NOW if left == 0 else NEXT) if left < NEXT_SHOWN else LATER
            left += 1
        drawn.append(
            LoaderLine(
                line=line,
                status=status,
                where=_where(request, state, line),
                vault=request.vault_of(line.key) if line.kind == "piece" else None,
                carriers=hands.get(f"carry:{line.key}", ()),
            )
        )
    return tuple(drawn)


def _settled(line: TierLine, state: State) -> str | None:
    if line.kind == "fill":
        return IN if line.key.removeprefix("fill ") in state["fills"] else None
    piece = state["pieces"].get(line.key)
    if piece is None:
        return None
    if piece["stage"] == LOADED:
        return IN
    return CANNOT if piece["missing"] or piece["does_not_fit"] else None


def _where(request: LoadRequest, state: State, line: TierLine) -> str:
    stage = stage_of(state, line.key)
    if line.kind == "fill" or stage >= IN_TRUCK:
        return "truck"
    if stage == ON_FLOOR:
        return "floor"
    if is_missing(state, line.key):
        return "missing"
    return "vault" if request.vault_of(line.key) else "loose"
