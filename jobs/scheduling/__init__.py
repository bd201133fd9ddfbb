"""Who does what when, as pure functions: frozen data in, frozen data out.

`tasks` turns a load plan into floor work with its precedence, `lifting` says how many people
a piece takes, `readiness` says what may be done next, `assigning` hands it to people. Nothing
here knows Django, a clock or a database.
"""

from jobs.scheduling.assigning import Handout, Person, hand_out
from jobs.scheduling.lifting import LiftAdvice, lift_advice, team_limit_g
from jobs.scheduling.readiness import TaskState, task_states
from jobs.scheduling.tasks import FloorTask, TaskKind, floor_tasks

__all__ = [
    "FloorTask",
    "Handout",
    "LiftAdvice",
    "Person",
    "TaskKind",
    "TaskState",
    "floor_tasks",
    "hand_out",
    "lift_advice",
    "task_states",
    "team_limit_g",
]
