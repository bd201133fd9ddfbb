"""Vaults from outside, over HTTP."""

from collections.abc import Callable
from uuid import UUID

from rest_framework.test import APIClient

from inventory.models import Lane, Vault

SignedIn = Callable[..., APIClient]
SENT = {"id": str(UUID(int=7)), "branch": "north", "vault": "N-1"}
TIME = {"expected_at": "2026-05-04T14:30:00Z"}


def test_announced_twice_and_stowed(lane: Lane, signed_in: SignedIn) -> None:
    client = signed_in("warehouse")
    made = client.post("/api/arrivals/", SENT | TIME)
    assert made.status_code == 201
    assert client.post("/api/arrivals/", SENT | TIME).json() == made.json()
    assert client.get("/api/arrivals/").json()["results"] == [made.json()]
    where = f"/api/arrivals/{SENT['id']}/stow/"
    assert client.post(where, {"lane": "Z99"}).status_code == 422
    assert client.post(where, {"lane": "A01"}).json()["stowed_at"]
    assert Vault.objects.get(code="N-1").lane == lane
    assert client.get("/api/arrivals/").json()["results"] == []


def test_called_off(lane: Lane, signed_in: SignedIn) -> None:
    client = signed_in("warehouse")
    client.post("/api/arrivals/", SENT | TIME)
    assert signed_in("helper").delete(f"/api/arrivals/{SENT['id']}/").status_code == 403
    assert client.delete(f"/api/arrivals/{SENT['id']}/").status_code == 204
    assert not Vault.objects.exists()


def test_what_is_refused(lane: Lane, signed_in: SignedIn) -> None:
    client = signed_in("warehouse")
    for wrong in ({}, TIME | {"vault": ""}, TIME | {"branch": "south"}, {"expected_at": "soon"}):
        assert client.post("/api/arrivals/", SENT | wrong).status_code == 422, wrong
    assert signed_in("helper").post("/api/arrivals/", SENT | TIME).status_code == 403
    client.post("/api/arrivals/", SENT | TIME)
    assert client.post("/api/arrivals/", SENT | TIME | {"vault": "N-2"}).status_code == 409
    assert APIClient().get("/api/arrivals/").status_code in (401, 403)
