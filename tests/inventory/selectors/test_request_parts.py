"""The storage side of a load request, as the planning contract wants it."""

import json
from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import uuid4

from inventory.models import Branch, Item, ItemTag, Lane, Release, Shipment, Vault
from inventory.selectors import item_labels, request_parts
from inventory.services import ImportOrder, inventory_import, release_create
from tests.inventory.lists.test_request_form import REQUEST

MakeItem = Callable[..., Item]


def parts(shipment: Shipment, now: datetime, *items: Item) -> dict[str, Any]:
    release: Release = release_create(
        shipment=shipment,
        reference="R1",
        receiver_name="J. Roe",
        uuid=uuid4(),
        now=now,
        items=items,
    )
    return request_parts(release=release)


def test_what_was_imported_comes_out_again(branch: Branch, now: datetime) -> None:
    batch, _ = inventory_import(
        order=ImportOrder(branch, "SHP-9"), data=json.dumps(REQUEST).encode(), now=now
    )
    found = parts(batch.shipment, now)
    for key in ("lanes", "vaults", "other_vaults"):
        assert _sorted(found[key]) == _sorted(REQUEST[key]), key
    added = {"leaves": True, "size_from": "measured", "handling": None}
    added |= {"pads": None, "storage_pads": None}
    assert found["items"] == [item | added for item in REQUEST["items"]]


def _sorted(value: Any) -> Any:
    return sorted(value, key=str) if isinstance(value, list) else value


def test_every_lane_of_the_branch_is_named(
    branch: Branch, lane: Lane, shipment: Shipment, make_item: MakeItem, now: datetime
) -> None:
    Lane.objects.create(branch=branch, name="A02", depth=2, levels=3)
    Lane.objects.create(branch=branch, name="aisle", depth=1, levels=1)
    south = Branch.objects.create(code="south", name="South")
    Lane.objects.create(branch=south, name="S01", depth=9, levels=9)
    make_item("001")
    assert parts(shipment, now)["lanes"] == {
        "depth": 2,
        "levels": 3,
        "names": ["A01", "A02", "aisle"],
        "of": {"aisle": [1, 1]},
    }


def test_only_some_pieces_leave(
    lane: Lane, shipment: Shipment, make_item: MakeItem, now: datetime
) -> None:
    opened, shut = (
        Vault.objects.create(
            branch=lane.branch, shipment=shipment, code=code, lane=lane, depth=2, level=level
        )
        for code, level in (("V1", 2), ("V2", 1))
    )
    leaves = make_item("001", vault=opened, vault_position=2)
    make_item("002", vault=opened, vault_position=1)
    make_item("003", vault=shut, vault_position=1)
    make_item("004")
    found = parts(shipment, now, leaves)
    assert found["vaults"] == [
        {"code": "V1", "lane": "A01", "depth": 2, "level": 2, "items": ["002", "001"]}
    ]
    assert [vault["code"] for vault in found["other_vaults"]] == ["V2"]
    told = {item["tag"]: item["leaves"] for item in found["items"]}
    assert told == {"001": True, "002": False}


def test_a_vault_in_no_lane_is_no_vault_of_the_request(
    vault: Vault, make_item: MakeItem, now: datetime
) -> None:
    make_item("001", vault=vault, vault_position=1)
    found = parts(vault.shipment, now)
    assert found["vaults"] == []
    assert [item["tag"] for item in found["items"]] == ["001"]


def test_tags_that_need_lot_and_color(
    branch: Branch, shipment: Shipment, make_item: MakeItem, now: datetime
) -> None:
    make_item("001")
    make_item("002")
    second = make_item()
    ItemTag.objects.create(
        branch=branch,
        item=second,
        lot_number="99",
        label_color="red",
        number="001",
        assigned_at=now,
    )
    bare = make_item()
    tags = [item["tag"] for item in parts(shipment, now)["items"]]
    assert tags == ["4411 blue 001", "002", "99 red 001", f"piece {bare.pk}"]


def test_kilograms_with_one_decimal(shipment: Shipment, make_item: MakeItem, now: datetime) -> None:
    make_item("001", weight_g=63_503, bears_g=27_216)
    make_item("002", weight_g=20, bears_g=0)
    first, second = parts(shipment, now)["items"]
    assert (first["weight_kg"], first["bears_kg"]) == (63.5, 27.2)
    assert (second["weight_kg"], second["bears_kg"]) == (0.1, 0)


def test_pieces_are_named_as_in_their_releases_request(
    shipment: Shipment, make_item: Callable[..., Item]
) -> None:
    """Two lots of one shipment use the same number: it is enough where only one is released."""
    other = make_item("017")
    other.tags.update(lot_number="9999")
    one = make_item("017")
    part = shipment.releases.create(reference="R1", receiver_name="A")
    part.items.set([one])
    whole = shipment.releases.create(reference="R2", receiver_name="A")
    for release in (part, whole):
        items = request_parts(release=release)["items"]
        assert isinstance(items, list)
        labels = [label for _, label in item_labels(release=release)]
        assert [item["tag"] for item in items] == labels
    assert [label for _, label in item_labels(release=part)] == ["017"]
    assert len({label for _, label in item_labels(release=whole)}) == 2
