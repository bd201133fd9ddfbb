"""What one truck does not take goes on a second trip, as a release and a load of its own."""

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from django.db import transaction

from inventory.models import Item, Release
from inventory.selectors import item_labels
from inventory.services import release_split
from loading.errors import NoSecondTrip
from loading.models import Load, TruckChoice
from loading.selectors.loads import load_labels
from loading.selectors.plans import load_plan_demanded
from loading.selectors.second_trips import trip_key

Labelled = list[tuple[Item, str]]


@transaction.atomic
def load_second_trip(*, load: Load, now: datetime) -> tuple[Release, ...]:
    """Release what the load's newest plan leaves off for a second trip, each shipment's by itself.

    Asking twice for the same plan gives the same releases.

    Raises
    ------
    NoPlanYet : nothing was planned.
    NoSecondTrip : the plan leaves nothing off.
    WriteRefusedError : a release is left off as a whole, so that nothing of it would stay.
    """
    plan = load_plan_demanded(load=load)
    left_off = {left["tag"] for left in plan.document["left_off"]}
    labels = load_labels(load=load)
    trips = [
        _second_trip(release, _named(labels, release, left_off), plan.run_id, now)
        for release in load.releases()
    ]
    made = tuple(trip for trip in trips if trip is not None)
    if not made:
        raise NoSecondTrip
    return made


@transaction.atomic
def choice_second_trip(*, choice: TruckChoice, now: datetime) -> Release:
    """Release what a choice of trucks puts on a second trip. Asking twice gives the same release.

    Raises `NoSecondTrip` where one truck takes it all, or there is no answer yet.
    """
    trips = choice.answer["trips"] if choice.answer else []
    second = {tag for trip in trips[1:] for tag in trip["tags"]}
    release = choice.release
    items = _named(item_labels(release=release), release, second)
    made = _second_trip(release, items, choice.pk, now)
    if made is None:
        raise NoSecondTrip
    return made


def _named(labels: Labelled, release: Release, wanted: Collection[str]) -> list[Item]:
    return [
        item
        for item, label in labels
        if label in wanted and item.shipment_id == release.shipment_id
    ]


def _second_trip(release: Release, items: list[Item], asked: UUID, now: datetime) -> Release | None:
    """The release of these pieces; once it is made they are no longer of the first one."""
    key = trip_key(asked=asked, release=release)
    made = Release.objects.filter(uuid=key).first()
    if made is not None or not items:
        return made
    return release_split(release=release, items=items, uuid=key, now=now)
