"""Whether a truck needs a commercial driver's licence in the United States.

Source: 49 CFR 383.5 and 383.91 (read second-hand, section numbers from memory): a single vehicle
with a gross rating of 26,001 lb or more.
"""

from fractions import Fraction

from loading.planner.request import Truck
from loading.road.pounds import pounds

COMMERCIAL_FROM_LB = 26_001


def needs_commercial_licence(gross_rating_g: int | Fraction) -> bool:
    return round(pounds(gross_rating_g)) >= COMMERCIAL_FROM_LB


def gross_rating_g(truck: Truck) -> int:
    """The truck empty and its payload together."""
    return sum(support.tare_g for support in truck.supports) + truck.payload_g
