"""All tasks of a job in tier order, each as one line of a long list."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.models import User
from jobs.folding.finishing import subject_of
from jobs.models import Job, Task
from jobs.selectors.boards.standing import hands_on

_SHOWN = ("job", "key", "sequence", "kind", "tag", "vault", "fill", "tier", "people", "status")


@dataclass(frozen=True, slots=True)
class TaskLine:
    """Words for the list. `people` is empty for one, `hands` are those who have it."""

    number: str
    status: str
    kind: str
    subject: str
    tier: str
    people: str
    state: str
    hands: Sequence[str]


def tasks_board(*, job: Job) -> list[TaskLine]:
    """Two queries. Words are looked up once: there are hundreds of lines."""
    kinds = {kind.value: str(kind.label) for kind in Task.Kind}
    states = {state.value: str(state.label) for state in Task.Status}
    hands = hands_on(job)
    tasks = job.tasks.order_by("sequence", "key").only(*_SHOWN)
    return [_line(task, kinds, states, hands) for task in tasks]


def _line(
    task: Task,
    kinds: Mapping[str, str],
    states: Mapping[str, str],
    hands: Mapping[str, Sequence[User]],
) -> TaskLine:
    has_tier = task.tier is not None and task.kind != Task.Kind.CLOSE
    return TaskLine(
        number=str(task.sequence),
        status=task.status,
        kind=kinds[task.kind],
        subject=str(next(iter(subject_of(task).values()))),
        tier=_("tier %(tier)s") % {"tier": task.tier} if has_tier else "",
        people=_("%(people)s people") % {"people": task.people} if task.people > 1 else "",
        state=states[task.status],
        hands=[who.get_full_name() or who.username for who in hands.get(task.key, ())],
    )
