"""Releases and holds: who may receive what, and what is held back."""

from collections.abc import Callable
from datetime import datetime, timedelta
from uuid import UUID, uuid4

import pytest

from inventory.errors import (
    NotOfShipmentError,
    ReferenceTakenError,
    UuidReusedError,
    WriteRefusedError,
)
from inventory.models import Item, Release, Shipment, User
from inventory.selectors import shipment_is_held
from inventory.services import (
    hold_lift,
    hold_place,
    release_create,
    release_identity_check,
    release_split,
)

Person = Callable[..., User]


def release(shipment: Shipment, now: datetime, **told: object) -> Release:
    told = {"reference": "R1", "receiver_name": "J. Roe", "uuid": uuid4()} | told
    return release_create(shipment=shipment, now=now, **told)


def test_some_pieces(shipment: Shipment, make_item: Callable[..., Item], now: datetime) -> None:
    leaves, _ = make_item("001"), make_item("002")
    made = release(shipment, now, items=[leaves])
    assert list(made.items.all()) == [leaves]
    assert (made.receiver_name, made.created_at, made.identity_checked_at) == (
        *("J. Roe", now, None),
    )


def test_sent_twice(shipment: Shipment, now: datetime) -> None:
    uuid = uuid4()
    assert release(shipment, now, uuid=uuid) == release(shipment, now, uuid=uuid)
    assert Release.objects.count() == 1


def test_the_uuid_or_the_reference_with_other_content(shipment: Shipment, now: datetime) -> None:
    uuid = uuid4()
    release(shipment, now, uuid=uuid)
    with pytest.raises(UuidReusedError):
        release(shipment, now, uuid=uuid, receiver_name="M. Roe")
    with pytest.raises(ReferenceTakenError):
        release(shipment, now)


def test_a_piece_of_another_shipment(
    shipment: Shipment, make_item: Callable[..., Item], now: datetime
) -> None:
    other = Shipment.objects.create(
        branch=shipment.branch, reference="SHP-2", lot_number="2", label_color="red"
    )
    with pytest.raises(NotOfShipmentError) as refusal:
        release(shipment, now, items=[make_item("031", shipment=other)])
    assert refusal.value.tags == ("031",)
    assert not Release.objects.exists()


def split(first: Release, now: datetime, *items: Item, uuid: UUID | None = None) -> Release:
    return release_split(release=first, items=items, uuid=uuid or uuid4(), now=now)


def test_each_trip_is_a_release_with_its_pieces_and_the_same_receiver(
    shipment: Shipment, make_item: Callable[..., Item], person: Person, now: datetime
) -> None:
    items = [make_item(number) for number in ("001", "002", "003")]
    first = release(shipment, now)
    release_identity_check(release=first, by=person(), now=now)
    second, third = split(first, now, items[2]), split(first, now, items[1])
    assert [one.reference for one in (first, second, third)] == ["R1", "R1/2", "R1/3"]
    assert [list(one.items.all()) for one in (first, second, third)] == [
        *([items[0]], [items[2]], [items[1]]),
    ]
    for trip in (second, third):
        assert (trip.receiver_name, trip.identity_checked_by) == (
            *("J. Roe", first.identity_checked_by),
        )


def test_a_split_sent_twice_is_one_and_its_uuid_stands_for_nothing_else(
    shipment: Shipment, make_item: Callable[..., Item], now: datetime
) -> None:
    first, second, _ = make_item("001"), make_item("002"), make_item("003")
    whole, uuid = release(shipment, now), uuid4()
    assert split(whole, now, first, uuid=uuid) == split(whole, now, first, uuid=uuid)
    with pytest.raises(UuidReusedError):
        split(whole, now, second, uuid=uuid)
    assert Release.objects.count() == 2


def test_what_cannot_be_split(
    shipment: Shipment, make_item: Callable[..., Item], now: datetime
) -> None:
    first, second, kept = make_item("001"), make_item("002"), make_item("003")
    part = release(shipment, now, items=[first, second])
    with pytest.raises(NotOfShipmentError) as refusal:
        split(part, now, kept)
    assert refusal.value.tags == ("003",)
    for items in ((), (first, second)):
        with pytest.raises(WriteRefusedError):
            split(part, now, *items)
    Item.objects.filter(pk=first.pk).update(left_at=now)
    first.refresh_from_db()
    with pytest.raises(WriteRefusedError):
        split(part, now, first)
    assert list(Release.objects.all()) == [part]


def test_the_first_identity_check_stays(shipment: Shipment, person: Person, now: datetime) -> None:
    made, first, second = release(shipment, now), person(), person()
    release_identity_check(release=made, by=first, now=now)
    release_identity_check(release=made, by=second, now=now + timedelta(hours=1))
    assert (made.identity_checked_by, made.identity_checked_at) == (first, now)


@pytest.mark.parametrize("kind", ["unpaid_storage", "lien", "dispute", "court"])
def test_held_until_lifted(shipment: Shipment, person: Person, now: datetime, kind: str) -> None:
    office = person()
    assert not shipment_is_held(shipment=shipment)
    told = {"shipment": shipment, "kind": kind, "reason": "", "by": office, "now": now}
    hold = hold_place(uuid=uuid4(), **told)
    second = hold_place(uuid=uuid4(), **told)
    hold_lift(hold=hold, by=office, now=now)
    assert shipment_is_held(shipment=shipment)
    hold_lift(hold=second, by=office, now=now)
    assert not shipment_is_held(shipment=shipment)


def test_a_hold_sent_twice(shipment: Shipment, person: Person, now: datetime) -> None:
    told = {"shipment": shipment, "reason": "", "by": person(), "now": now, "uuid": uuid4()}
    assert hold_place(kind="lien", **told) == hold_place(kind="lien", **told)
    with pytest.raises(UuidReusedError):
        hold_place(kind="court", **told)


def test_who_lifted_first_stays(shipment: Shipment, person: Person, now: datetime) -> None:
    first, second = person(), person()
    hold = hold_place(shipment=shipment, kind="lien", reason="", by=first, uuid=uuid4(), now=now)
    hold_lift(hold=hold, by=first, now=now)
    hold_lift(hold=hold, by=second, now=now + timedelta(hours=1))
    assert (hold.lifted_by, hold.lifted_at) == (first, now)
