"""What a load leaves behind: gone pieces, empty vaults, leftovers."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    from django.test import Client
    from rest_framework.test import APIClient

    from inventory.models import Branch, Item, Lane, Vault

NOW = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)


@pytest.fixture
def two(make_item: Callable[..., Item], vault: Vault) -> tuple[Item, Item]:
    """A piece at the door of the vault and one behind it."""
    return (
        make_item("001", vault=vault, vault_position=1),
        make_item("002", vault=vault, vault_position=2),
    )


def leave(*items: Item) -> None:
    from inventory.services import items_leave

    items_leave(items=items, now=NOW)


def test_what_stays_keeps_its_vault_and_the_vault_its_owner(
    two: tuple[Item, Item], vault: Vault
) -> None:
    leave(two[0])
    for row in (*two, vault):
        row.refresh_from_db()
    assert (two[0].vault, two[0].left_vault, two[0].left_at) == (None, "V100", NOW)
    assert (two[1].vault, two[1].vault_position) == (vault, 2)
    assert (vault.shipment, vault.upkeep) == (two[0].shipment, "")


def test_an_empty_vault_is_nobodys_and_waits_to_be_swept(
    two: tuple[Item, Item], vault: Vault
) -> None:
    leave(*two)
    leave(*two)
    vault.refresh_from_db()
    assert (vault.shipment, vault.seal_number, vault.upkeep) == (None, "", "sweep")


def test_what_has_left_is_in_no_further_request(two: tuple[Item, Item]) -> None:
    from inventory.models import Release
    from inventory.selectors import request_parts

    leave(two[0])
    release = Release.objects.create(shipment=two[0].shipment, reference="R", receiver_name="A")
    assert [item["tag"] for item in request_parts(release=release)["items"]] == ["002"]  # type: ignore[attr-defined]


def test_what_stays_out_of_its_vault_stands_on_the_dock_floor(
    two: tuple[Item, Item], vault: Vault
) -> None:
    from inventory.services import items_leave

    items_leave(items=[two[0]], out=[two[1]], now=NOW)
    for row in (*two, vault):
        row.refresh_from_db()
    assert (str(two[1].loose_place), two[1].vault, two[1].left_at) == ("dock floor", None, None)
    assert (vault.shipment, vault.upkeep) == (None, "sweep")


def test_an_empty_vault_is_on_the_page_until_it_is_ready(
    two: tuple[Item, Item], vault: Vault, signed_in: Callable[..., APIClient]
) -> None:
    leave(*two)
    client: Client = signed_in("warehouse")
    shown = client.get(f"/inventory/{vault.branch.code}/vaults/").content.decode()
    assert "to be swept" in shown
    assert f"/afterwards/{vault.branch.code}/" in shown


def test_a_lane_of_empties_fills_from_its_far_end_and_is_full_some_day(
    branch: Branch, lane: Lane
) -> None:
    from inventory.errors import PlaceRefusedError
    from inventory.models import Vault
    from inventory.services import vault_stow

    places = []
    for number in range(lane.depth * lane.levels):
        vault = Vault.objects.create(branch=branch, code=f"E{number}")
        stowed = vault_stow(vault=vault, lane=lane)
        places.append((stowed.depth, stowed.level))
    assert places == [(2, 1), (2, 2), (2, 3), (1, 1), (1, 2), (1, 3)]
    with pytest.raises(PlaceRefusedError, match="full"):
        vault_stow(vault=Vault.objects.create(branch=branch, code="E9"), lane=lane)


def test_a_vault_with_goods_is_not_swept(two: tuple[Item, Item], vault: Vault) -> None:
    from inventory.errors import WriteRefusedError
    from inventory.models import Upkeep
    from inventory.services import vault_upkeep_set

    with pytest.raises(WriteRefusedError, match="not empty"):
        vault_upkeep_set(vault=vault, upkeep=Upkeep.SWEEP)


def test_a_leftover_gets_a_place_unless_it_has_left(two: tuple[Item, Item]) -> None:
    from inventory.errors import WriteRefusedError
    from inventory.services import item_put

    put = item_put(item=two[1], place="rack 4")
    assert (put.vault, str(put.loose_place)) == (None, "rack 4")
    leave(two[0])
    with pytest.raises(WriteRefusedError, match="has left"):
        item_put(item=two[0], place="rack 4")
