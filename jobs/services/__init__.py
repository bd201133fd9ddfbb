"""All writes of the floor, one subject per file."""

from jobs.services.acceptance import job_accept_plan, job_tasks_make
from jobs.services.assignments import tasks_assign, work_resend
from jobs.services.balances import balance_make, balances_resend
from jobs.services.crew import crew_member_put
from jobs.services.day_crews import (
    crew_accept,
    day_crews_ask,
    day_crews_make,
    day_crews_resend,
    days_begin,
)
from jobs.services.events import EventAnswer, events_record
from jobs.services.jobs import job_close, job_create, job_plan
from jobs.services.order_choices import job_order_choose
from jobs.services.pairings import device_revoke, pairing_create, pairing_take
from jobs.services.proposals import crew_pin, crew_unpin, proposal_accept
from jobs.services.replan_ending import job_plan_return, job_plan_take
from jobs.services.replans import replan_execute, replans_resend
from jobs.services.schedules import schedule_make, schedules_resend
from jobs.services.shifts import dock_way_put, shift_drop, shift_put, skills_put
from jobs.services.stops import stop_set
from jobs.services.telling import events_tell

__all__ = [
    "EventAnswer",
    "balance_make",
    "balances_resend",
    "crew_accept",
    "crew_member_put",
    "crew_pin",
    "crew_unpin",
    "day_crews_ask",
    "day_crews_make",
    "day_crews_resend",
    "days_begin",
    "device_revoke",
    "dock_way_put",
    "events_record",
    "events_tell",
    "job_accept_plan",
    "job_close",
    "job_create",
    "job_order_choose",
    "job_plan",
    "job_plan_return",
    "job_plan_take",
    "job_tasks_make",
    "pairing_create",
    "pairing_take",
    "proposal_accept",
    "replan_execute",
    "replans_resend",
    "schedule_make",
    "schedules_resend",
    "shift_drop",
    "shift_put",
    "skills_put",
    "stop_set",
    "tasks_assign",
    "work_resend",
]
