"""What the database refuses of people, releases, holds and imports, whoever writes."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.db import IntegrityError, transaction

from inventory.models import Branch, Device, Hold, ImportBatch, Release, Role, Shipment, User


def test_a_role_once(person: Callable[..., User], branch: Branch) -> None:
    user = person(Role.Kind.LOADER)
    with pytest.raises(IntegrityError, match="role_once"), transaction.atomic():
        Role.objects.create(user=user, branch=branch, kind=Role.Kind.LOADER)
    with pytest.raises(IntegrityError, match="role_kind_known"):
        Role.objects.create(user=user, branch=branch, kind="chief")


def test_units_known(db: None) -> None:
    with pytest.raises(IntegrityError, match="user_units_known"):
        User.objects.create(username="x", units="cubits")


def test_a_device_is_not_revoked_before_it_is_paired(branch: Branch, now: datetime) -> None:
    with pytest.raises(IntegrityError, match="device_revoked_after_paired"):
        Device.objects.create(
            branch=branch,
            label="phone 1",
            token_hash="x",
            paired_at=now,
            revoked_at=now - timedelta(seconds=1),
        )


def test_identity_is_checked_by_somebody(shipment: Shipment, now: datetime) -> None:
    with pytest.raises(IntegrityError, match="release_identity_checked_by_somebody"):
        Release.objects.create(
            shipment=shipment, reference="R1", receiver_name="J. Roe", identity_checked_at=now
        )


def test_a_release_names_its_receiver(shipment: Shipment) -> None:
    with pytest.raises(IntegrityError, match="release_is_named"):
        Release.objects.create(shipment=shipment, reference="R1", receiver_name="")


def test_release_reference_once_per_shipment(shipment: Shipment) -> None:
    Release.objects.create(shipment=shipment, reference="R1", receiver_name="J. Roe")
    with pytest.raises(IntegrityError, match="release_reference_once_per_shipment"):
        Release.objects.create(shipment=shipment, reference="R1", receiver_name="J. Roe")


def test_a_hold_is_lifted_by_somebody(shipment: Shipment, now: datetime) -> None:
    with pytest.raises(IntegrityError, match="hold_lifted_by_somebody"):
        Hold.objects.create(shipment=shipment, kind="lien", lifted_at=now)


def test_hold_kind_known(shipment: Shipment) -> None:
    with pytest.raises(IntegrityError, match="hold_kind_known"):
        Hold.objects.create(shipment=shipment, kind="mood")


def test_a_file_once_per_branch(shipment: Shipment) -> None:
    told = {"branch": shipment.branch, "shipment": shipment, "form": "csv", "lines": 1}
    ImportBatch.objects.create(sha256="a" * 64, **told)
    with pytest.raises(IntegrityError, match="import_file_once_per_branch"), transaction.atomic():
        ImportBatch.objects.create(sha256="a" * 64, **told)
    with pytest.raises(IntegrityError, match="import_sha256_is_hex"):
        ImportBatch.objects.create(sha256="A" * 64, **told)
