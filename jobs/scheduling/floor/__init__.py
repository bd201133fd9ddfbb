"""One job's floor: its tasks and crew as a problem for the search, and the schedule of names.

`solving` brings compiled code with it, so it is to be imported where schedules are made; the
rest of the package is plain.
"""

from jobs.scheduling.floor.handing import hand_out_scheduled
from jobs.scheduling.floor.request import (
    Begun,
    FloorRequest,
    Site,
    Worker,
    floor_request,
)
from jobs.scheduling.floor.schedule import (
    Entry,
    FloorSchedule,
    parse_schedule,
    schedule_document,
)
from jobs.scheduling.floor.timely import SOON_S, Timely, hand_out_timely

__all__ = [
    "SOON_S",
    "Begun",
    "Entry",
    "FloorRequest",
    "FloorSchedule",
    "Site",
    "Timely",
    "Worker",
    "floor_request",
    "hand_out_scheduled",
    "hand_out_timely",
    "parse_schedule",
    "schedule_document",
]
