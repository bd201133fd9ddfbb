"""A branch with its lanes and people, for the tests of the inventory.

Pytest reads this file before Django is set up, so the models are looked up by the fixtures.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from django.apps import apps

if TYPE_CHECKING:
    from rest_framework.test import APIClient

    from inventory.models import Branch, Item, Lane, Shipment, User, Vault

NOW = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)


def _model(name: str) -> type:
    return apps.get_model("inventory", name)


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def branch(db: None) -> Branch:
    return _model("Branch").objects.create(code="north", name="North warehouse")


@pytest.fixture
def lane(branch: Branch) -> Lane:
    return _model("Lane").objects.create(branch=branch, name="A01", depth=2, levels=3)


@pytest.fixture
def shipment(branch: Branch) -> Shipment:
    return _model("Shipment").objects.create(
        branch=branch, reference="SHP-1", lot_number="4411", label_color="blue"
    )


@pytest.fixture
def vault(branch: Branch, shipment: Shipment) -> Vault:
    return _model("Vault").objects.create(branch=branch, shipment=shipment, code="V100")


@pytest.fixture
def make_item(shipment: Shipment) -> Callable[..., Item]:
    """Makes a plain carton; a tag number puts the shipment's tag on it."""

    def make(number: str | None = None, **changes: object) -> Item:
        plain: dict[str, object] = {
            "shipment": shipment,
            "name": "carton",
            "length_mm": 400,
            "width_mm": 300,
            "height_mm": 300,
            "weight_g": 12_000,
            "postures": ["standing"],
        }
        item = _model("Item").objects.create(**plain | changes)
        if number:
            _model("ItemTag").objects.create(
                branch=item.shipment.branch,
                item=item,
                lot_number=item.shipment.lot_number,
                label_color=item.shipment.label_color,
                number=number,
                assigned_at=NOW,
            )
        return item

    return make


@pytest.fixture
def person(branch: Branch) -> Callable[..., User]:
    """Makes somebody with a role at the branch."""

    def make(kind: str = "office", at: Branch | None = branch) -> User:
        user = _model("User").objects.create_user(f"{kind}{_model('User').objects.count()}")
        if at is not None:
            _model("Role").objects.create(user=user, branch=at, kind=kind)
        return user

    return make


@pytest.fixture
def signed_in(person: Callable[..., User]) -> Callable[..., APIClient]:
    """Makes an API client of somebody with a role."""

    def make(kind: str = "office", at: Branch | None = None) -> APIClient:
        from rest_framework.test import APIClient

        client = APIClient()
        client.force_login(person(kind, at) if at else person(kind))
        return client

    return make
