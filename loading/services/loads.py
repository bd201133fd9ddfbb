"""Loads: which release goes onto which truck at which dock."""

from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import Release
from loading.errors import BadKey, BranchesDiffer, DocumentInvalid, ReferenceTaken
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
    besides: Sequence[Release] = (),
    pull_order: Sequence[str] | None = None,
    pad_mm: int = PAD_MM,
) -> Load:
    """Add a load. A held shipment may be loaded on paper: the hold stops floor work, not plans.

    `besides` are releases of other shipments for the same truck, each delivered after those before.

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
    others = sorted(set(besides), key=lambda one: one.pk)
    _demand_one_branch(load, others)
    _demand_other_shipments(release, others)
    request_parsed(load_request_document(load=load, besides=others))
    with transaction.atomic():
        stored, created = Load.objects.get_or_create(
            branch=load.branch, reference=reference, defaults=_content(load)
        )
        if created:
            stored.besides.set(others)
            load_pads_open(load=stored, now=timezone.now())
    same = _content(stored) == _content(load) and list(stored.also_aboard()) == others
    if not created and not same:
        raise ReferenceTaken(reference)
    return stored


def load_truck_change(*, load: Load, truck: Truck) -> None:
    """Put a load onto another truck; plans that were made for the former one stay as they are.

    Raises `BranchesDiffer` for another branch's truck.
    """
    if truck.branch_id != load.branch_id:
        raise BranchesDiffer({"load": load.branch.code, "truck": truck.branch.code})
    Load.objects.filter(pk=load.pk).update(truck=truck)


def load_pull_order_set(*, load: Load, order: Sequence[str] | None) -> None:
    """Say in which order a load's vaults are pulled; None leaves it to the planner.

    Plans that were made before stay as they are.
    """
    load.pull_order = None if order is None else list(order)
    load.save(update_fields=["pull_order"])


def _content(load: Load) -> dict[str, object]:
    columns = ("release_id", "truck_id", "dock_id", "distance_km", "pad_mm", "pull_order")
    return {column: getattr(load, column) for column in columns}


def _demand_one_branch(load: Load, besides: Sequence[Release]) -> None:
    branches = {
        **{f"besides {one.reference}": one.shipment.branch for one in besides},
        "release": load.release.shipment.branch,
        "truck": load.truck.branch,
        "dock": load.dock.branch,
    }
    if len({branch.pk for branch in branches.values()}) > 1:
        raise BranchesDiffer({part: branch.code for part, branch in branches.items()})


def _demand_other_shipments(release: Release, besides: Sequence[Release]) -> None:
    """Two releases of one shipment are one release, of more pieces."""
    aboard = [one.shipment_id for one in (release, *besides)]
    if len(set(aboard)) < len(aboard):
        raise DocumentInvalid((BadKey("/besides", _("a shipment is aboard twice")),))
