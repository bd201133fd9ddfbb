"""The tables of the floor: jobs and their crew, tasks and who has them, events and state."""

from jobs.models.events import Event, JobState, Stream
from jobs.models.jobs import CrewMember, Job
from jobs.models.pairings import Pairing
from jobs.models.replans import Replan
from jobs.models.tasks import Assignment, Task

__all__ = [
    "Assignment",
    "CrewMember",
    "Event",
    "Job",
    "JobState",
    "Pairing",
    "Replan",
    "Stream",
    "Task",
]
