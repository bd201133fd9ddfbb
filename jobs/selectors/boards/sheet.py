"""A sheet of a job's open tasks, a tier at a time: to be printed, ticked, and typed in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db.models import Count, QuerySet

from jobs.models import Job, Task
from loading.planner.plan import Fill
from loading.planner.request import Item
from loading.selectors import plan_of

VAULTS: Final = 0
"""The part of a sheet that belongs to no tier: vaults, and pieces that are not loaded."""
LINES_MOST: Final = 150


@dataclass(frozen=True, slots=True)
class SheetTask:
    """A line: the task, its piece's name, and the plan's pads where some are told."""

    task: Task
    name: str
    pads: int | None


@dataclass(frozen=True, slots=True)
class SheetBoard:
    """One part of the sheet: a tier, or `VAULTS`. `parts` are all that have open tasks.

    `more` counts the tasks of the part that come after the lines shown.
    """

    part: int
    parts: Sequence[int]
    lines: Sequence[SheetTask]
    more: int


def sheet_board(*, job: Job, part: int | None = None) -> SheetBoard:
    """The open tasks of a part, in their order; without one, of the first that has any."""
    tasks = job.tasks.filter(status__in=Task.OPEN)
    counts = {tier or VAULTS: many for tier, many in _counted(tasks)}
    parts = sorted(counts)
    shown = part if part is not None else next(iter(parts), VAULTS)
    found = list(tasks.filter(tier=shown or None).order_by("sequence", "key")[:LINES_MOST])
    items, fills = _plan(job)
    lines = [SheetTask(task, _name(task, items), _pads(task, items, fills)) for task in found]
    return SheetBoard(shown, parts, lines, counts.get(shown, 0) - len(lines))


def sheet_tasks(*, job: Job, ids: Sequence[UUID]) -> Mapping[UUID, Task]:
    """Tasks of the job by id, whatever their state: a line may be sent again when it is done."""
    return {task.id: task for task in job.tasks.filter(id__in=ids)}


def _counted(tasks: QuerySet[Task]) -> QuerySet[Task, tuple[int | None, int]]:
    return tasks.order_by("tier").values_list("tier").annotate(many=Count("id"))


def _plan(job: Job) -> tuple[dict[str, Item], dict[int, Fill]]:
    if job.tasks_plan is None:
        return {}, {}
    request, planned = plan_of(plan=job.tasks_plan)
    return {item.tag: item for item in request.items}, {f.fill: f for f in planned.fills}


def _name(task: Task, items: Mapping[str, Item]) -> str:
    return items[task.tag].name if task.tag in items else ""


def _pads(task: Task, items: Mapping[str, Item], fills: Mapping[int, Fill]) -> int | None:
    piece = items.get(task.tag)
    if task.kind == Task.Kind.UNPACK:
        return (piece.storage_pads if piece else None) or 0
    if task.kind == Task.Kind.WRAP:
        return (piece.pads if piece else None) or 0
    fill = fills.get(task.fill or 0)
    return fill.pads if fill else None
