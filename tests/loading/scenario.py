"""A household of three pieces and the one plan for it, checked by hand; a search that knows it.

The truck is 3 m long, 1 m wide and high. Two cartons of half a metre stand side by side as tier
1, the trunk lies across as tier 2. Vault V1 is under another customer's X9, which goes to lane B.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from inventory.models import Branch, Item, ItemTag, Lane, LoosePlace, Release, Shipment, Vault
from loading.models import Dock, Load, Truck
from loading.planner.plan import LoadPlan, Placement, Step
from loading.planner.request import LoadRequest
from loading.services import dock_create, load_create, truck_create

NOW = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)

SUPPORTS = [
    {"name": "front axle", "x_mm": -500, "tare_kg": 1000, "limit_kg": 3000},
    {"name": "rear axle", "x_mm": 2500, "tare_kg": 1000, "limit_kg": 4000},
]

STEPS = (
    Step("move", vault="X9", lane="B"),
    Step("pull", vault="V1"),
    Step("unpack", tag="001"),
    Step("load", tag="001"),
    Step("unpack", tag="002"),
    Step("load", tag="002"),
    Step("close", tier=1),
    Step("clear", vault="V1"),
    Step("fetch", tag="003"),
    Step("load", tag="003"),
    Step("close", tier=2),
)
PLACEMENTS = (
    Placement("001", 1, "base", (0, 0, 0), (500, 500, 500), "standing"),
    Placement("002", 1, "base", (0, 500, 0), (500, 500, 500), "standing"),
    Placement("003", 2, "base", (500, 10, 0), (500, 980, 500), "standing"),
)


def truck_made(branch: Branch, **changed: object) -> Truck:
    given: dict[str, object] = {
        "branch": branch,
        "name": "Truck 7",
        "interior_mm": (3000, 1000, 1000),
        "door_mm": (1000, 1000),
        "payload_g": 2_000_000,
        "ride": "air",
        "supports": SUPPORTS,
    }
    return truck_create(**(given | changed))


def dock_made(branch: Branch, **changed: object) -> Dock:
    given: dict[str, object] = {
        "branch": branch,
        "name": "Door 2",
        "vault_spots": 1,
        "floor_mm2": 10_000_000,
    }
    return dock_create(**(given | changed))


def release_made(branch: Branch, reference: str = "SHP-0001") -> Release:
    shipment = Shipment.objects.create(
        branch=branch, reference=reference, lot_number="5512", label_color="blue"
    )
    lane_a = Lane.objects.create(branch=branch, name="A", depth=1, levels=2)
    Lane.objects.create(branch=branch, name="B", depth=1, levels=2)
    vault = Vault.objects.create(
        branch=branch, code="V1", shipment=shipment, lane=lane_a, depth=1, level=1
    )
    Vault.objects.create(branch=branch, code="X9", lane=lane_a, depth=1, level=2)
    corner = LoosePlace.objects.create(branch=branch, name="corner")
    carton = {"length_mm": 500, "width_mm": 500, "height_mm": 500, "weight_g": 10_000}
    for position, tag in enumerate(("001", "002"), start=1):
        item = _item(shipment, "carton", carton=True, **carton)
        item.vault, item.vault_position = vault, position
        item.save()
        _tagged(item, tag)
    trunk = _item(
        shipment, "trunk <oak>", length_mm=980, width_mm=500, height_mm=500, weight_g=20_000
    )
    trunk.loose_place = corner
    trunk.save()
    _tagged(trunk, "003")
    return Release.objects.create(shipment=shipment, reference="REL-1", receiver_name="R. Doe")


def load_made(branch: Branch, **changed: object) -> Load:
    return load_create(
        release=changed.pop("release", None) or release_made(branch),
        truck=changed.pop("truck", None) or truck_made(branch),
        dock=dock_made(branch),
        **({"reference": "LOAD-0001", "distance_km": 40} | changed),
    )


def _item(shipment: Shipment, name: str, **measures: object) -> Item:
    return Item(shipment=shipment, name=name, postures=["standing"], bears_g=50_000, **measures)


def _tagged(item: Item, number: str) -> None:
    ItemTag.objects.create(
        branch=item.shipment.branch,
        item=item,
        lot_number="5512",
        label_color="blue",
        number=number,
        assigned_at=NOW,
    )


@dataclass(frozen=True, slots=True)
class Told:
    """What a search says while it works."""

    share: float = 0.5
    space_use: float = 0.4
    loaded: int = 2
    pieces: int = 3


def plan_by_hand(request: LoadRequest) -> LoadPlan:
    return LoadPlan(request.name, STEPS, PLACEMENTS)


def plan_with_overlap(request: LoadRequest) -> LoadPlan:
    """Breaks R3: 002 stands where 001 stands."""
    first, second, third = PLACEMENTS
    return LoadPlan(request.name, STEPS, (first, replace(second, at_mm=(0, 400, 0)), third))


class HandSearch:
    """A search that gives a known plan and lets the test act in the middle of its work."""

    def __init__(
        self,
        answer: Callable[[LoadRequest], LoadPlan] = plan_by_hand,
        meanwhile: Callable[[], object] | None = None,
    ) -> None:
        self.answer, self.meanwhile = answer, meanwhile
        self.calls = 0
        self.called_off: bool | None = None
        self.formers: list[LoadPlan | None] = []

    def __call__(self, request, *, seed, stop, workers, former, improve, on_progress, cancelled):
        self.calls += 1
        self.formers.append(former)
        if self.meanwhile is not None:
            self.meanwhile()
        on_progress(Told())
        self.called_off = cancelled()
        return self.answer(request)


class Clock:
    """Seconds that pass when a test says so, and a little at each look."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        self.now_s += 1
        return self.now_s
