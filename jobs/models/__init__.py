"""The tables of the floor: jobs, crews, tasks and who has them, events and state, schedules."""

from jobs.models.events import Event, JobState, Stream
from jobs.models.jobs import CrewMember, Job
from jobs.models.pairings import Pairing
from jobs.models.replans import Replan
from jobs.models.schedules import BranchRates, CrewPin, DayBalance, FloorPlan
from jobs.models.tasks import Assignment, Task

__all__ = [
    "Assignment",
    "BranchRates",
    "CrewMember",
    "CrewPin",
    "DayBalance",
    "Event",
    "FloorPlan",
    "Job",
    "JobState",
    "Pairing",
    "Replan",
    "Stream",
    "Task",
]
