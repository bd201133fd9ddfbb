"""The tables of the floor: jobs, crews, tasks and who has them, events and state, schedules,
shifts."""

from jobs.models.events import Event, JobState, Stream
from jobs.models.jobs import CrewMember, Job
from jobs.models.order_choices import OrderChoice
from jobs.models.pairings import Pairing
from jobs.models.replans import Replan
from jobs.models.schedules import BranchRates, CrewPin, DayBalance, FloorPlan
from jobs.models.shifts import DayCrews, DockWay, Shift, ShiftBreak, Skill
from jobs.models.tasks import Assignment, Task

__all__ = [
    "Assignment",
    "BranchRates",
    "CrewMember",
    "CrewPin",
    "DayBalance",
    "DayCrews",
    "DockWay",
    "Event",
    "FloorPlan",
    "Job",
    "JobState",
    "OrderChoice",
    "Pairing",
    "Replan",
    "Shift",
    "ShiftBreak",
    "Skill",
    "Stream",
    "Task",
]
