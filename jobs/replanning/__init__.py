"""Pure: what is asked of the planner when the day goes otherwise than planned.

`freezing` says which tasks stay whatever comes, `goods` and `progress` make the request as things
stand now, `pull_order` fits a chosen order to what has been pulled, `returning` brings back what
was left out by mistake, `carrying` tells whether the former plan still holds, `choosing` which of
two is taken.
"""

from jobs.replanning.carrying import carried_over
from jobs.replanning.choosing import Verdict, verdict
from jobs.replanning.freezing import Frozen, frozen_tasks
from jobs.replanning.goods import goods_now
from jobs.replanning.progress import request_now
from jobs.replanning.pull_order import Overtaken, order_now, order_overtaken, whole_order
from jobs.replanning.returning import with_returned

__all__ = [
    "Frozen",
    "Overtaken",
    "Verdict",
    "carried_over",
    "frozen_tasks",
    "goods_now",
    "order_now",
    "order_overtaken",
    "request_now",
    "verdict",
    "whole_order",
    "with_returned",
]
