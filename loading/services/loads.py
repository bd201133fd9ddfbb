"""Loads: which release goes onto which truck at which dock."""

from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from inventory.models import Release
from loading.errors import BranchesDiffer, ReferenceTaken
from loading.models import Dock, Load, Truck
from loading.selectors.documents import load_request_document
from loading.services.contract import request_parsed
from loading.services.equipment import load_pads_open

PAD_MM = 12  # one layer of a moving pad under a strap; common practice, no source


def load_create(
    *,
    release: Release,
    truck: Truck,
    dock: Dock,
    reference: str,
    distance_km: float,
    pull_order: Sequence[str] | None = None,
    pad_mm: int = PAD_MM,
) -> Load:
    """Add a load. A held shipment may be loaded on paper: the hold stops floor work, not plans.

    Asking twice for the same load gives the same load. Raises `BranchesDiffer`, `ReferenceTaken`,
    and `DocumentInvalid` naming the key when storage, truck and dock make no request that could
    be planned (nothing is stored then).
    """
    load = Load(
        branch=truck.branch,
        reference=reference,
        release=release,
        truck=truck,
        dock=dock,
        distance_km=float(distance_km),
        pad_mm=pad_mm,
        pull_order=None if pull_order is None else list(pull_order),
    )
    _demand_one_branch(load)
    request_parsed(load_request_document(load=load))
    with transaction.atomic():
        stored, created = Load.objects.get_or_create(
            branch=load.branch, reference=reference, defaults=_content(load)
        )
        if created:
            load_pads_open(load=stored, now=timezone.now())
    if not created and _content(stored) != _content(load):
        raise ReferenceTaken(reference)
    return stored


def load_truck_change(*, load: Load, truck: Truck) -> None:
    """Put a load onto another truck; plans that were made for the former one stay as they are.

    Raises `BranchesDiffer` for another branch's truck.
    """
    if truck.branch_id != load.branch_id:
        raise BranchesDiffer({"load": load.branch.code, "truck": truck.branch.code})
    Load.objects.filter(pk=load.pk).update(truck=truck)


def _content(load: Load) -> dict[str, object]:
    columns = ("release_id", "truck_id", "dock_id", "distance_km", "pad_mm", "pull_order")
    return {column: getattr(load, column) for column in columns}


def _demand_one_branch(load: Load) -> None:
    branches = {
        "release": load.release.shipment.branch,
        "truck": load.truck.branch,
        "dock": load.dock.branch,
    }
    if len({branch.pk for branch in branches.values()}) > 1:
        raise BranchesDiffer({part: branch.code for part, branch in branches.items()})
