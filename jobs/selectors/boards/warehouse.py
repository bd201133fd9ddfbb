"""The warehouse's page: what is fetched next, and what stands on the dock."""

from collections import Counter
from dataclasses import dataclass

from inventory.models import User, Vault
from jobs.folding.state import ON_DOCK, STORED, State, pads_in_truck
from jobs.models import Job, Task
from jobs.selectors.boards.standing import hands_on, is_missing, stage_of
from jobs.selectors.states import state_of
from loading.models import LoadPlan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.selectors import WAREHOUSE_STEPS, PullLine, plan_of, pull_sheet, warehouse_yard

_IN_HAND = (Task.Status.ASSIGNED, Task.Status.BEGUN)


@dataclass(frozen=True, slots=True)
class PullEntry:
    """One action of the pull sheet with its task. `seal` is the number on record, or ""."""

    line: PullLine
    task: Task
    people: tuple[User, ...]
    seal: str
    not_found: bool

    @property
    def subject(self) -> str:
        return self.line.vault or self.line.tag or ""

    @property
    def can_begin(self) -> bool:
        return self.task.status in (Task.Status.READY, Task.Status.ASSIGNED, Task.Status.BEGUN)


@dataclass(frozen=True, slots=True)
class StowEntry:
    """A vault from outside that somebody of the job is putting away, into the task's lane or one of
    the others with room."""

    task: Task
    people: tuple[User, ...]
    lanes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DockVault:
    """A vault on the dock, and how many of its pieces are still in it."""

    code: str
    left: int
    pieces: int


@dataclass(frozen=True, slots=True)
class WarehouseBoard:
    """`stows` come before all `entries`, which are what is still to do, in order; `pads_out` are
    moving pads in use."""

    job: Job
    request: LoadRequest
    planned: PlannedLoad
    stows: tuple[StowEntry, ...]
    entries: tuple[PullEntry, ...]
    done: int
    dock: tuple[DockVault, ...]
    spots: int
    pads_out: int
    storage_pads_back: int

    @property
    def spots_free(self) -> int:
        return max(0, self.spots - len(self.dock))


def warehouse_board(*, job: Job, plan: LoadPlan) -> WarehouseBoard:
    """The warehouse's part of the accepted plan as it stands now."""
    request, planned = plan_of(plan=plan)
    state = state_of(job)
    entries, done = _entries(job, plan, state)
    return WarehouseBoard(
        job=job,
        request=request,
        planned=planned,
        stows=_stows(job),
        entries=entries,
        done=done,
        dock=_dock(request, state),
        spots=request.dock.vault_spots,
        pads_out=pads_in_truck(state),
        storage_pads_back=sum(p["storage_pads_off"] or 0 for p in state["pieces"].values()),
    )


def _stows(job: Job) -> tuple[StowEntry, ...]:
    tasks = list(job.tasks.filter(kind=Task.Kind.STOW, status__in=_IN_HAND))
    if not tasks:
        return ()
    people = hands_on(job)
    lanes = warehouse_yard(branch=job.branch).lanes
    free = tuple(lane.name for lane in lanes if lane.free)
    return tuple(StowEntry(task, people.get(task.key, ()), free) for task in tasks)


def _entries(job: Job, plan: LoadPlan, state: State) -> tuple[tuple[PullEntry, ...], int]:
    pulls = job.tasks.filter(kind__in=WAREHOUSE_STEPS)
    tasks = {(task.kind, task.tag or task.vault, task.turn): task for task in pulls}
    seals = dict(Vault.objects.filter(branch_id=job.branch_id).values_list("code", "seal_number"))
    people = hands_on(job)
    turns: Counter[tuple[str, str]] = Counter()
    entries: list[PullEntry] = []
    done = 0
    for line in pull_sheet(plan=plan).lines:
        subject = line.vault or line.tag or ""
        turns[line.do, subject] += 1
        task = tasks.get((line.do, subject, turns[line.do, subject]))
        if task is None or task.status in (Task.Status.DONE, Task.Status.WITHDRAWN):
            done += task is None or task.status == Task.Status.DONE
            continue
        vault = state["vaults"].get(subject)
        entries.append(
            PullEntry(
                line=line,
                task=task,
                people=people.get(task.key, ()),
                seal=seals.get(subject) or "",
                not_found=vault is not None and vault["not_found"],
            )
        )
    return tuple(entries), done


def _dock(request: LoadRequest, state: State) -> tuple[DockVault, ...]:
    return tuple(
        DockVault(
            code=vault.code,
            left=sum(
                stage_of(state, tag) == STORED and not is_missing(state, tag) for tag in vault.items
            ),
            pieces=len(vault.items),
        )
        for vault in request.vaults
        if _vault_stage(state, vault.code) == ON_DOCK
    )


def _vault_stage(state: State, code: str) -> int:
    vault = state["vaults"].get(code)
    return vault["stage"] if vault else 0
