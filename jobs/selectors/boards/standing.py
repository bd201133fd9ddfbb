"""Where a job stands: its stored state, and who has which of its tasks."""

from collections import defaultdict
from collections.abc import Mapping

from inventory.models import User
from jobs.folding import State
from jobs.folding.state import STORED
from jobs.models import Assignment, Job


def stage_of(state: State, tag: str) -> int:
    piece = state["pieces"].get(tag)
    return piece["stage"] if piece else STORED


def is_missing(state: State, tag: str) -> bool:
    piece = state["pieces"].get(tag)
    return piece is not None and piece["missing"]


def hands_on(job: Job) -> Mapping[str, tuple[User, ...]]:
    """Who has a task now, by the task's key. One query."""
    people: defaultdict[str, list[User]] = defaultdict(list)
    opened = Assignment.objects.filter(task__job=job, ended_at__isnull=True)
    names = ("task__key", "person__username", "person__first_name", "person__last_name")
    for given in opened.select_related("task", "person").only(*names):
        people[given.task.key].append(given.person)
    return {key: tuple(found) for key, found in people.items()}
