"""49 CFR 383.5 (read second-hand, numbers from memory): 26,001 lb gross rating and more."""

import pytest

from loading.road.licence import gross_rating_g, needs_commercial_licence
from loading.road.pounds import grams
from tests.loading.planner.scene import full_wall
from tests.loading.road.facts import BRIDGE
from tests.loading.road.loads import parsed


@pytest.mark.parametrize(("rating_lb", "needed"), BRIDGE["cdl"]["vectors"])
def test_the_threshold(rating_lb: int, needed: bool) -> None:
    assert needs_commercial_licence(round(grams(rating_lb))) is needed


def test_the_gross_rating_is_the_empty_truck_and_its_payload() -> None:
    request, _ = parsed(full_wall())
    assert gross_rating_g(request.truck) == 2_000_000 + 2_000_000 + 5_000_000
