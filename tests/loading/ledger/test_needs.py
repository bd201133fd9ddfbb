"""Moving pads that a plan needs: two a piece where nobody said is common practice, no source."""

from loading.ledger.needs import PadsNeeded, pads_needed
from tests.loading.planner.scene import Scene
from tests.loading.road.loads import parsed


def test_pads_for_a_plan_by_hand():
    scene = (
        Scene()
        .piece("001", (0, 0, 0), (500, 500, 400), wrap=True, bare_mm=(480, 480, 380), pads=5)
        .piece("002", (0, 500, 0), (500, 300, 400), wrap=True, bare_mm=(480, 280, 380))
        .piece("003", (0, 0, 400), (500, 500, 300))
        .fill(1, (0, 800, 0), (500, 200, 300), pads=4)
        .close()
    )
    needed = pads_needed(*parsed(scene))
    assert needed == PadsNeeded(wrapped=7, rolled=4)
    assert (needed.missing(8), needed.missing(11), needed.missing(20)) == (3, 0, 0)
