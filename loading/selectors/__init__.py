from loading.selectors.comparison import PlanChange, plan_change
from loading.selectors.dock import DockReport, Gain, LongWait, dock_report, warehouse_yard
from loading.selectors.dock_studies import dock_study_latest
from loading.selectors.documents import load_request_document
from loading.selectors.forklift import (
    Done,
    ForkliftDay,
    Inbound,
    forklift_day,
    inbound_lanes,
    line_of,
    steps_in_lanes,
)
from loading.selectors.loads import (
    load_is_held,
    load_labels,
    load_shipments,
    loads_of_shipment,
)
from loading.selectors.plan_pictures import (
    plan_tier_picture,
    plan_truck_pictures,
    plan_warehouse_pictures,
)
from loading.selectors.plans import (
    load_latest_plan,
    load_plan_demanded,
    load_plan_versions,
    plan_long_fields,
    plan_of,
)
from loading.selectors.pull_sheet import (
    WAREHOUSE_STEPS,
    PieceInVault,
    PullLine,
    PullSheet,
    VaultPlace,
    pull_sheet,
)
from loading.selectors.road_sheet import RoadSheet, plan_may_drive, road_sheet
from loading.selectors.second_trips import choice_second_trips, plan_second_trips
from loading.selectors.shared_lanes import SharedLanes, shared_lanes
from loading.selectors.straps import TierStraps, straps_after_stops
from loading.selectors.tier_sheets import TierLine, TierSheet, tier_sheets

__all__ = [
    "WAREHOUSE_STEPS",
    "DockReport",
    "Done",
    "ForkliftDay",
    "Gain",
    "Inbound",
    "LongWait",
    "PieceInVault",
    "PlanChange",
    "PullLine",
    "PullSheet",
    "RoadSheet",
    "SharedLanes",
    "TierLine",
    "TierSheet",
    "TierStraps",
    "VaultPlace",
    "choice_second_trips",
    "dock_report",
    "dock_study_latest",
    "forklift_day",
    "inbound_lanes",
    "line_of",
    "load_is_held",
    "load_labels",
    "load_latest_plan",
    "load_plan_demanded",
    "load_plan_versions",
    "load_request_document",
    "load_shipments",
    "loads_of_shipment",
    "plan_change",
    "plan_long_fields",
    "plan_may_drive",
    "plan_of",
    "plan_second_trips",
    "plan_tier_picture",
    "plan_truck_pictures",
    "plan_warehouse_pictures",
    "pull_sheet",
    "road_sheet",
    "shared_lanes",
    "steps_in_lanes",
    "straps_after_stops",
    "tier_sheets",
    "warehouse_yard",
]
