"""The day's balance: several jobs, one pool of people.

`solving` and `proposing` bring compiled code with them and are to be imported where they are
used; the rest is plain.
"""

from jobs.scheduling.day.request import (
    DayError,
    DayJob,
    DayPerson,
    DayPlan,
    DayRequest,
    Post,
    takes_by_people,
)

__all__ = [
    "DayError",
    "DayJob",
    "DayPerson",
    "DayPlan",
    "DayRequest",
    "Post",
    "takes_by_people",
]
