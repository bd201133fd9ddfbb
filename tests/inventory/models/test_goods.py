"""What the database refuses of pieces and tags, whoever writes."""

from collections.abc import Callable
from datetime import datetime
from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, transaction

from inventory.models import Branch, Item, ItemKind, ItemTag, LoosePlace, Shipment, Vault

MakeItem = Callable[..., Item]


@pytest.mark.parametrize("side", ["length_mm", "width_mm", "height_mm"])
def test_a_side_of_nothing(make_item: MakeItem, side: str) -> None:
    with pytest.raises(IntegrityError, match="item_size_positive"):
        make_item(**{side: 0})


@pytest.mark.parametrize(
    ("changes", "constraint"),
    [
        ({"weight_g": 0}, "item_weight_positive"),
        ({"postures": []}, "item_postures_known"),
        ({"postures": ["standing", "upside_down"]}, "item_postures_known"),
        ({"level": "roof"}, "item_level_known"),
        ({"stop": 0}, "item_stop_from_one"),
        ({"name": ""}, "item_is_named"),
        ({"size_from": "hearsay"}, "item_measure_source_known"),
        ({"size_from": "kind"}, "item_typical_values_have_a_kind"),
        ({"vault_position": 1}, "item_vault_place_whole_or_none"),
    ],
)
def test_a_piece_that_cannot_be(
    make_item: MakeItem, changes: dict[str, object], constraint: str
) -> None:
    with pytest.raises(IntegrityError, match=constraint):
        make_item(**changes)


def test_a_vault_without_the_place_in_it(make_item: MakeItem, vault: Vault) -> None:
    with pytest.raises(IntegrityError, match="item_vault_place_whole_or_none"):
        make_item(vault=vault)


def test_in_a_vault_and_loose(make_item: MakeItem, vault: Vault) -> None:
    rack = LoosePlace.objects.create(branch=vault.branch, name="rack 1")
    with pytest.raises(IntegrityError, match="item_in_one_place"):
        make_item(vault=vault, vault_position=1, loose_place=rack)


def test_one_position_in_a_vault_twice(make_item: MakeItem, vault: Vault) -> None:
    make_item(vault=vault, vault_position=1)
    make_item(vault=vault, vault_position=1)
    with pytest.raises(IntegrityError, match="item_vault_position_once"):
        connection.check_constraints()


def test_in_a_vault_of_another_shipment(make_item: MakeItem, vault: Vault) -> None:
    other = Shipment.objects.create(
        branch=vault.branch, reference="SHP-2", lot_number="2", label_color="red"
    )
    make_item(shipment=other, vault=vault, vault_position=1)
    with pytest.raises(IntegrityError, match="item_vault_of_its_shipment"):
        connection.check_constraints()


def test_kind_without_size(db: None) -> None:
    with pytest.raises(IntegrityError, match="kind_size_positive"):
        ItemKind.objects.create(
            code="x", name="x", length_mm=0, width_mm=1, height_mm=1, weight_g=1,
            postures=["standing"],
        )  # fmt: skip


def _tag(item: Item, number: str, now: datetime, **changes: object) -> ItemTag:
    tag = {
        "branch": item.shipment.branch,
        "lot_number": item.shipment.lot_number,
        "label_color": item.shipment.label_color,
        "assigned_at": now,
    }
    return ItemTag.objects.create(item=item, number=number, **tag | changes)


def test_001_exists_in_every_lot_but_once_in_each(make_item: MakeItem, now: datetime) -> None:
    make_item("001")
    second, third, fourth = make_item(), make_item(), make_item()
    _tag(second, "001", now, lot_number="9999")
    _tag(third, "001", now, label_color="red")
    with pytest.raises(IntegrityError, match="tag_current_once_per_branch"):
        _tag(fourth, "001", now)


def test_a_replaced_tag_frees_its_number(make_item: MakeItem, now: datetime) -> None:
    old = make_item("001").current_tag
    assert old is not None
    ItemTag.objects.filter(pk=old.pk).update(replaced_at=now, replaced_by_event=uuid4())
    assert _tag(make_item(), "001", now).pk


def test_two_tags_on_one_piece(make_item: MakeItem, now: datetime) -> None:
    item = make_item("001")
    with pytest.raises(IntegrityError, match="tag_current_once_per_item"):
        _tag(item, "002", now)


def test_a_tag_is_replaced_by_an_event(make_item: MakeItem, now: datetime) -> None:
    with pytest.raises(IntegrityError, match="tag_replaced_by_an_event"):
        _tag(make_item(), "001", now, replaced_at=now)


def test_an_event_replaces_one_tag(make_item: MakeItem, now: datetime) -> None:
    event = uuid4()
    _tag(make_item(), "001", now, replaced_at=now, replaced_by_event=event)
    with pytest.raises(IntegrityError, match="replaced_by_event"):
        _tag(make_item(), "002", now, replaced_at=now, replaced_by_event=event)


@pytest.mark.parametrize("number", ["1", "12", "01a", ""])
def test_a_tag_number_has_three_digits(make_item: MakeItem, now: datetime, number: str) -> None:
    item = make_item()
    with pytest.raises(IntegrityError, match="tag_number_of_three_digits"), transaction.atomic():
        _tag(item, number, now)


def test_branch_code_is_plain(db: None) -> None:
    with pytest.raises(IntegrityError, match="branch_code_is_plain"):
        Branch.objects.create(code="no rth", name="x")
