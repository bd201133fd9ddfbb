from loading.services.dock_studies import (
    dock_studies_resend,
    dock_study_create,
    dock_study_execute,
)
from loading.services.equipment import equipment_count_record, equipment_move, load_pads_open
from loading.services.loads import load_create, load_pull_order_set
from loading.services.papers import paper_make, papers_resend, plan_paper_demand
from loading.services.places import dock_create, truck_create
from loading.services.plan_execution import plan_run_execute
from loading.services.plan_runs import (
    plan_run_accept_early,
    plan_run_cancel,
    plan_run_create,
    plan_runs_resend,
)
from loading.services.second_trips import choice_second_trip, load_second_trip
from loading.services.tickets import scale_ticket_record
from loading.services.truck_choices import (
    truck_choice_create,
    truck_choice_execute,
    truck_choices_resend,
)

__all__ = [
    "choice_second_trip",
    "dock_create",
    "dock_studies_resend",
    "dock_study_create",
    "dock_study_execute",
    "equipment_count_record",
    "equipment_move",
    "load_create",
    "load_pads_open",
    "load_pull_order_set",
    "load_second_trip",
    "paper_make",
    "papers_resend",
    "plan_paper_demand",
    "plan_run_accept_early",
    "plan_run_cancel",
    "plan_run_create",
    "plan_run_execute",
    "plan_runs_resend",
    "scale_ticket_record",
    "truck_choice_create",
    "truck_choice_execute",
    "truck_choices_resend",
    "truck_create",
]
