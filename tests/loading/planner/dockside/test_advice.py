"""What a larger dock would do for the load, with a search that is known."""

from dataclasses import replace

from loading.planner.dockside import DockTrial, dock_trials
from loading.planner.plan import LoadPlan, Placement
from loading.planner.request import Dock, LoadRequest
from tests.loading.planner.dockside.docks import request_of

PLACE = Placement("1", 1, "base", (0, 0, 0), (500, 500, 500), "standing")
NOW = LoadPlan("scene", (), (PLACE,), figures={"length_mm": 2000, "moves": 3})


def by_floor(request: LoadRequest) -> LoadPlan:
    """Shorter the more floor there is; with a second spot a move more and no shorter."""
    spots = request.dock.vault_spots
    length_mm = 2000 - (request.dock.floor_mm2 - 20_000_000) // 20_000
    return replace(NOW, figures={"length_mm": length_mm, "moves": 2 + spots})


def test_gains_are_told_and_losses_are_none() -> None:
    floor, spot = dock_trials(request_of({"V1": "1"}, spots=2), NOW, by_floor)
    assert floor == DockTrial("floor", Dock(2, 25_000_000), 250, 0, -1)
    assert floor.pays
    assert spot == DockTrial("spot", Dock(3, 20_000_000), 0, 0, 0)
    assert not spot.pays


def test_what_chance_may_make_is_no_gain() -> None:
    def by_chance(_: LoadRequest) -> LoadPlan:
        return replace(NOW, figures={"length_mm": 1941, "moves": 3})

    floor, spot = dock_trials(request_of({"V1": "1"}), NOW, by_chance)
    assert (floor.pays, spot.pays) == (False, False)


def test_one_more_piece_outweighs_a_longer_load() -> None:
    def with_another(_: LoadRequest) -> LoadPlan:
        figures = {"length_mm": 2600, "moves": 3}
        return LoadPlan("scene", (), (PLACE, replace(PLACE, tag="2")), figures=figures)

    floor, _ = dock_trials(request_of({"V1": "1 2"}), NOW, with_another)
    assert (floor.more_loaded, floor.shorter_mm, floor.pays) == (1, -600, True)
