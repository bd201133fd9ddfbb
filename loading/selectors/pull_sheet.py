"""What the warehouse does for a load, in order: vaults shifted, pulled, cleared, put back."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from inventory.may_not_ride import RidingCaution, riding_cautions
from loading.models import LoadPlan
from loading.planner.plan import Step
from loading.planner.pulls import Yard, yard_of
from loading.planner.request import LoadRequest
from loading.selectors.kept import Kept
from loading.selectors.plans import plan_of

WAREHOUSE_STEPS = ("move", "pull", "fetch", "clear", "return", "store")


@dataclass(frozen=True, slots=True)
class VaultPlace:
    """Depth 1 is nearest the aisle, level 1 stands on the floor."""

    lane: str
    depth: int
    level: int


@dataclass(frozen=True, slots=True)
class PieceInVault:
    tag: str
    name: str
    leaves: bool


@dataclass(frozen=True, slots=True)
class Look:
    """A piece to look at before it rides, and why."""

    tag: str
    caution: RidingCaution


@dataclass(frozen=True, slots=True)
class PullLine:
    """One action. `step` is its number in the plan (from 1), `number` its line on the sheet.

    `moved_for` names the vault that a shifted one stood in front of; `contents` lists what is in
    a pulled vault, door side first; `off_dock_step` is the step that takes it off the dock again;
    `into` is the open vault that a piece goes back into (None: a loose piece, to its place);
    `place` is where a loose piece stands, as far as somebody has told it; `looks` names pieces
    that may not ride, or only with care; `done` is what the plan found done or in somebody's hands.
    """

    number: int
    step: int
    do: str
    vault: str | None = None
    ours: bool = True
    at: VaultPlace | None = None
    to: VaultPlace | None = None
    moved_for: str | None = None
    tag: str | None = None
    name: str | None = None
    contents: tuple[PieceInVault, ...] = ()
    off_dock_step: int | None = None
    into: str | None = None
    place: str | None = None
    done: bool = False
    looks: tuple[Look, ...] = ()


@dataclass(frozen=True, slots=True)
class PullSheet:
    load: str
    truck: str
    version: int
    vault_spots: int
    lines: tuple[PullLine, ...]


_lines: "Kept[tuple[PullLine, ...]]" = Kept()


def pull_sheet(*, plan: LoadPlan) -> PullSheet:
    """The warehouse's part of a stored plan."""
    request, planned = plan_of(plan=plan)
    return PullSheet(
        load=planned.request,
        truck=request.truck.name,
        version=plan.version,
        vault_spots=request.dock.vault_spots,
        lines=_lines.of(
            plan.run_id,
            lambda: tuple(
                replace(line, looks=tuple(_looks(line, request.distance_km)))
                for line in _with_places(
                    pull_lines_of(request, planned.steps), plan.request_document
                )
            ),
        ),
    )


def _with_places(lines: Iterable[PullLine], document: Mapping[str, Any]) -> Iterator[PullLine]:
    places = {item["tag"]: item["place"] for item in document["items"] if "place" in item}
    return (replace(line, place=places.get(line.tag or "")) for line in lines)


def _looks(line: PullLine, distance_km: float) -> Iterator[Look]:
    """By the pieces' names, at the vault that is pulled or the piece that is fetched."""
    named = [(piece.tag, piece.name) for piece in line.contents if piece.leaves]
    if line.do == "fetch" and line.tag is not None and line.name is not None:
        named.append((line.tag, line.name))
    for tag, name in named:
        for caution in riding_cautions(name, distance_km=distance_km):
            yield Look(tag, caution)


def pull_lines_of(request: LoadRequest, steps: tuple[Step, ...]) -> tuple[PullLine, ...]:
    """The same lines for a plan that is not stored."""
    yard = yard_of(request)
    lines: list[PullLine] = []
    done = len(request.progress.steps) if request.progress else 0
    for n, step in enumerate(steps):
        after = yard.after((step,))
        if step.do in WAREHOUSE_STEPS:
            lines.append(
                PullLine(
                    number=len(lines) + 1,
                    step=n + 1,
                    do=step.do,
                    vault=step.vault,
                    ours=step.vault is None or step.vault in yard.own,
                    at=_place(yard, step.vault),
                    to=_place(after, step.vault),
                    moved_for=_next_pull(steps[n:]) if step.do == "move" else None,
                    tag=step.tag,
                    name=None if step.tag is None else request.item(step.tag).name,
                    contents=_contents(request, steps[:n], step),
                    off_dock_step=_off_dock(steps, n),
                    into=request.vault_of(step.tag) if step.do == "return" and step.tag else None,
                    done=n < done,
                )
            )
        yard = after
    return tuple(lines)


def _place(yard: Yard, vault: str | None) -> VaultPlace | None:
    lane = None if vault is None else yard.lane_of(vault)
    if lane is None:
        return None
    slot = next(standing.slot for standing in lane.vaults if standing.code == vault)
    return VaultPlace(lane.name, *lane.cell_of(slot))


def _next_pull(steps: Iterable[Step]) -> str | None:
    return next((step.vault for step in steps if step.do == "pull"), None)


def _contents(
    request: LoadRequest, before: tuple[Step, ...], step: Step
) -> tuple[PieceInVault, ...]:
    """What a vault holds when it is pulled: all of it, or what an earlier opening left in it."""
    if step.do != "pull":
        return ()
    tags = next((vault.items for vault in request.vaults if vault.code == step.vault), ())
    out: set[str] = set()
    for former in before:
        if former.do == "unpack" and former.tag is not None:
            out.add(former.tag)
        elif former.do == "return" and former.tag is not None:
            out.discard(former.tag)
    return tuple(
        PieceInVault(tag, request.item(tag).name, request.item(tag).leaves)
        for tag in tags
        if tag not in out
    )


def _off_dock(steps: tuple[Step, ...], n: int) -> int | None:
    """The number of the step that clears or stores the vault which step `n` pulls."""
    if steps[n].do != "pull":
        return None
    for later in range(n + 1, len(steps)):
        if steps[later].do in ("clear", "store") and steps[later].vault == steps[n].vault:
            return later + 1
    return None
