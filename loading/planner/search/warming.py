"""Compiles, or loads from the cache, every kernel of the search: once, never inside a request."""

from __future__ import annotations

from dataclasses import replace

from loading.planner.request import Dock, Item, Lane, LoadRequest, Support, Truck, Vault


def warm() -> None:
    """Plan a load of two cartons, and anew when there is a third.

    About three minutes of compiling where there is no cache yet.
    """
    from loading.planner.search import plan_load
    from loading.planner.stopping import Iterations

    request = tiny_request()
    former = plan_load(request, seed=1, stop=Iterations(2))
    new = replace(request.items[0], tag="003")
    more = replace(request, items=(*request.items, new))
    plan_load(more, seed=1, stop=Iterations(2), former=former)


def tiny_request() -> LoadRequest:
    """Two cartons in one vault and a small truck."""
    cartons = tuple(
        Item(
            tag=tag, name="carton", size_mm=(480, 480, 420), weight_g=12_000,
            postures=("standing",), wrap=False, bears_g=40_000, level=None, fragile=False,
            carton=True, soft=False, openings=(), stop=1, set_name=None, last_on=False,
        )
        for tag in ("001", "002")
    )  # fmt: skip
    supports = (
        Support("front", 0, 1_000_000, 3_000_000),
        Support("rear", 2000, 1_000_000, 3_000_000),
    )
    return LoadRequest(
        name="warm",
        truck=Truck("small", (2000, 1200, 1500), 1_000_000, "air", (1200, 1500), (), supports),
        distance_km=1,
        dock=Dock(1, 4_000_000),
        lanes=(Lane("A", 1, 1), Lane("B", 1, 1)),
        vaults=(Vault("V1", "A", 1, 1, ("001", "002")),),
        other_vaults=(),
        pull_order=None,
        pad_mm=12,
        items=cartons,
    )
