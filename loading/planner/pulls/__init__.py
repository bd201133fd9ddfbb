"""Getting vaults out of their lanes: what is set aside, where it goes, in what order all leave."""

from loading.planner.pulls.effort import Effort, effort, nearer
from loading.planner.pulls.errors import PullsError, YardBlocked, YardError
from loading.planner.pulls.lanes_now import lanes_as_they_stand, lanes_left_by
from loading.planner.pulls.orders import Chain, PullOrder, chains, orders
from loading.planner.pulls.put_back import put_back, steps_back
from loading.planner.pulls.retrieval import Retrieval, retrieve, retrieve_from, retrieve_groups
from loading.planner.pulls.search import warm
from loading.planner.pulls.sharing import (
    Clash,
    Share,
    SharedDay,
    SharedLane,
    Wanted,
    clashes,
    shared_day,
)
from loading.planner.pulls.storing import lane_to_store
from loading.planner.pulls.turns import waits_for
from loading.planner.pulls.yard import StandingVault, Yard, YardLane, yard_of

__all__ = [
    "Chain",
    "Clash",
    "Effort",
    "PullOrder",
    "PullsError",
    "Retrieval",
    "Share",
    "SharedDay",
    "SharedLane",
    "StandingVault",
    "Wanted",
    "Yard",
    "YardBlocked",
    "YardError",
    "YardLane",
    "chains",
    "clashes",
    "effort",
    "lane_to_store",
    "lanes_as_they_stand",
    "lanes_left_by",
    "nearer",
    "orders",
    "put_back",
    "retrieve",
    "retrieve_from",
    "retrieve_groups",
    "shared_day",
    "steps_back",
    "waits_for",
    "warm",
    "yard_of",
]
