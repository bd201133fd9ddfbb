"""The task in somebody's hands, with all that is to be known to do it."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from inventory.models import User
from jobs.models import Assignment, Job, Task
from jobs.scheduling import LiftAdvice, lift_advice
from jobs.scheduling.carrying import (
    Carried,
    CarryAssessment,
    ShiftMass,
    carry_assessment,
    shift_mass,
)
from jobs.selectors.floors import usual_way_mm
from loading.planner.plan import Fill, Placement
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import Item, LoadRequest
from loading.selectors import plan_long_fields, plan_of, pull_sheet


@dataclass(frozen=True, slots=True)
class TaskCard:
    """A task: what, with whom, and as far as it is about a piece, which and how.

    `request` and `planned` are the plan that the task belongs to. A piece that the loader wants for
    a gap has no `placement`: it goes where the plan does not say.
    """

    task: Task
    job: Job
    others: tuple[User, ...]
    request: LoadRequest
    planned: PlannedLoad
    piece: Item | None
    placement: Placement | None
    fill: Fill | None
    lift: LiftAdvice | None
    carry: CarryAssessment | None

    @property
    def has_picture(self) -> bool:
        """Whether the place in the tier is worth a look: for what goes into the truck."""
        into_the_truck = self.task.kind in ("carry", "load", "fill")
        return into_the_truck and self.task.tier is not None and self.task.wanted_tier is None

    @property
    def place(self) -> str | None:
        """Where a loose piece is kept, as far as somebody has told it."""
        lines = pull_sheet(plan=self.task.plan).lines
        return next(
            (line.place for line in lines if line.place and line.tag == self.task.tag), None
        )

    @property
    def lane(self) -> str | None:
        """Where the task's vault stands according to the plan, before this task."""
        lanes = {vault.code: vault.lane for vault in self.request.vaults}
        lanes |= {vault.code: vault.lane for vault in self.request.other_vaults}
        moves = [s for s in self.planned.steps if s.vault == self.task.vault and s.do == "move"]
        earlier = moves if self.task.kind == "pull" else moves[: self.task.turn - 1]
        return earlier[-1].lane if earlier else lanes.get(self.task.vault)


def task_in_hand(*, user: User) -> TaskCard | None:
    """What a person is to do now, or None while there is nothing."""
    assignment = (
        Assignment.objects.filter(person=user, ended_at__isnull=True)
        .select_related("task__plan", "task__job__branch", "task__job__load__truck")
        .defer(*plan_long_fields("task__plan"))
        .first()
    )
    return task_card(task=assignment.task, user=user) if assignment else None


def task_card(*, task: Task, user: User | None = None) -> TaskCard:
    opened = task.assignments.filter(ended_at__isnull=True).select_related("person")
    others = tuple(item.person for item in opened if item.person != user)
    return task_card_with(task=task, others=others)


def task_card_with(*, task: Task, others: tuple[User, ...]) -> TaskCard:
    """The card of a task of which it is known who shares it."""
    request, planned = plan_of(plan=task.plan)
    piece = _piece(request, task)
    lifted = piece is not None and task.weight_g > 0
    return TaskCard(
        task=task,
        job=task.job,
        others=others,
        request=request,
        planned=planned,
        piece=piece,
        placement=_placement(planned, task),
        fill=next((f for f in planned.fills if f.fill == task.fill), None),
        lift=lift_advice(size_mm=piece.size_mm, weight_g=piece.weight_g)
        if piece and lifted
        else None,
        carry=carry_assessment(size_mm=piece.size_mm, weight_g=piece.weight_g)
        if piece and lifted
        else None,
    )


def shift_mass_of(*, user: User, day: date) -> ShiftMass:
    """What a person has carried on a day, on whatever jobs; for that person's eyes only."""
    done = Assignment.objects.filter(
        person=user, task__job__day=day, task__weight_g__gt=0, ending=Assignment.Ending.DONE
    )
    tasks = done.values_list("task__weight_g", "task__people", "task__kind")
    return shift_mass(Carried(weight, people, usual_way_mm(kind)) for weight, people, kind in tasks)


def _piece(request: LoadRequest, task: Task) -> Item | None:
    return next((item for item in request.items if item.tag == task.tag), None)


def _placement(planned: PlannedLoad, task: Task) -> Placement | None:
    if task.wanted_tier is not None:
        return None
    return next((place for place in planned.placements if place.tag == task.tag), None)


def job_tasks(*, job: Job, status: str | None = None) -> QuerySet[Task]:
    """A job's tasks in tier order, of one status if that is asked for."""
    tasks = job.tasks.prefetch_related("assignments__person").order_by("sequence", "key")
    return tasks.filter(status=status) if status else tasks
