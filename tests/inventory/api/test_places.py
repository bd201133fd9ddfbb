"""Branches, shipments, lanes and vaults over HTTP."""

from collections.abc import Callable

import pytest
from rest_framework.test import APIClient

from inventory.models import Branch, Hold, Item, Lane, Shipment, Vault

SignedIn = Callable[..., APIClient]

COLLECTIONS = [
    *("branches", "shipments", "lanes", "vaults", "items", "kinds", "imports"),
    *("releases", "holds"),
]


@pytest.mark.parametrize("name", COLLECTIONS)
def test_nobody_reads_without_signing_in(db: None, name: str) -> None:
    assert APIClient().get(f"/api/{name}/").status_code == 401


@pytest.mark.parametrize("name", [name for name in COLLECTIONS if name != "kinds"])
def test_nobody_reads_of_another_branch(
    branch: Branch, shipment: Shipment, vault: Vault, lane: Lane, signed_in: SignedIn, name: str
) -> None:
    south = Branch.objects.create(code="south", name="South")
    stranger = signed_in("office", south)
    listed = stranger.get(f"/api/{name}/?branch=north").json()["results"]
    assert listed == []
    for key, found in (("shipments", shipment), ("vaults", vault), ("lanes", lane)):
        assert stranger.get(f"/api/{key}/{found.pk}/").status_code == 404


@pytest.mark.parametrize("name", COLLECTIONS)
@pytest.mark.parametrize("query", ["branch=%00", "words=%00", "limit=x", f"branch={'x' * 300}"])
def test_odd_questions_are_no_fault_of_ours(
    branch: Branch, signed_in: SignedIn, name: str, query: str
) -> None:
    assert signed_in().get(f"/api/{name}/?{query}").status_code in (200, 422)


@pytest.mark.parametrize("name", ["shipments", "lanes", "vaults", "items", "imports", "releases"])
@pytest.mark.parametrize("key", ["0", "x", "9" * 30, "%00"])
def test_no_such_thing(branch: Branch, signed_in: SignedIn, name: str, key: str) -> None:
    assert signed_in().get(f"/api/{name}/{key}/").status_code == 404


def test_a_shipment_with_its_counts(
    shipment: Shipment, vault: Vault, make_item: Callable[..., Item], signed_in: SignedIn
) -> None:
    make_item("001")
    make_item("002")
    Hold.objects.create(shipment=shipment, kind="lien")
    (told,) = signed_in().get("/api/shipments/?branch=north").json()["results"]
    assert (told["branch"], told["reference"], told["lot_number"]) == ("north", "SHP-1", "4411")
    assert (told["piece_count"], told["vault_count"], told["held"]) == (2, 1, True)


def test_a_new_lane(branch: Branch, signed_in: SignedIn) -> None:
    lane = {"branch": "north", "name": "C01", "depth": 2, "levels": 3}
    client = signed_in("warehouse")
    made = client.post("/api/lanes/", lane)
    assert made.status_code == 201
    assert made.json() | lane == made.json()
    assert client.post("/api/lanes/", lane).json()["id"] == made.json()["id"]
    assert client.post("/api/lanes/", lane | {"levels": 4}).status_code == 409
    assert client.post("/api/lanes/", lane | {"depth": 0}).status_code == 422
    assert client.post("/api/lanes/", lane | {"depth": 99_999}).status_code == 422
    assert signed_in("helper").post("/api/lanes/", lane).status_code == 403
    assert Lane.objects.count() == 1


def test_a_vault_is_put_into_a_lane(lane: Lane, vault: Vault, signed_in: SignedIn) -> None:
    client, url = signed_in("warehouse"), f"/api/vaults/{vault.pk}/place/"
    placed = client.post(url, {"lane": "A01", "depth": 2, "level": 1})
    assert placed.status_code == 200
    assert (placed.json()["lane"], placed.json()["shipment"]) == ("A01", "SHP-1")
    assert client.post(url, {"lane": "A01", "depth": 3, "level": 1}).status_code == 422
    assert client.post(url, {"lane": "Z", "depth": 1, "level": 1}).status_code == 422
    assert client.post(url, {}).status_code == 422
    assert signed_in("helper").post(url, {"lane": None}).status_code == 403
    vault.refresh_from_db()
    assert vault.depth == 2
    assert client.post(url, {"lane": None}).json()["lane"] is None


def test_vaults_of_a_shipment(branch: Branch, vault: Vault, signed_in: SignedIn) -> None:
    Vault.objects.create(branch=branch, code="X1")
    client = signed_in()
    assert client.get("/api/vaults/").json()["count"] == 2
    (told,) = client.get("/api/vaults/?shipment=SHP-1").json()["results"]
    assert told["code"] == "V100"
