"""What the database refuses of lanes and vaults, whoever writes."""

import pytest
from django.db import IntegrityError, connection, transaction

from inventory.models import Branch, Lane, LoosePlace, Shipment, Vault


def test_lane_without_room(branch: Branch) -> None:
    for depth, levels in ((0, 3), (2, 0)):
        with pytest.raises(IntegrityError, match="lane_has_room"), transaction.atomic():
            Lane.objects.create(branch=branch, name="B", depth=depth, levels=levels)


def test_lane_name_once_per_branch(lane: Lane) -> None:
    with pytest.raises(IntegrityError, match="lane_name_once_per_branch"), transaction.atomic():
        Lane.objects.create(branch=lane.branch, name=lane.name, depth=1, levels=1)
    other = Branch.objects.create(code="south", name="South")
    assert Lane.objects.create(branch=other, name=lane.name, depth=1, levels=1).pk


def test_vault_code_once_per_branch(vault: Vault) -> None:
    with pytest.raises(IntegrityError, match="vault_code_once_per_branch"):
        Vault.objects.create(branch=vault.branch, code=vault.code)


def test_two_vaults_in_one_place(branch: Branch, lane: Lane) -> None:
    Vault.objects.create(branch=branch, code="V1", lane=lane, depth=1, level=1)
    Vault.objects.create(branch=branch, code="V2", lane=lane, depth=1, level=1)
    with pytest.raises(IntegrityError, match="vault_place_once"):
        connection.check_constraints()


def test_vaults_may_change_places_in_one_transaction(branch: Branch, lane: Lane) -> None:
    one = Vault.objects.create(branch=branch, code="V1", lane=lane, depth=1, level=1)
    two = Vault.objects.create(branch=branch, code="V2", lane=lane, depth=2, level=1)
    Vault.objects.filter(pk=one.pk).update(depth=2)
    Vault.objects.filter(pk=two.pk).update(depth=1)
    connection.check_constraints()
    one.refresh_from_db()
    assert one.depth == 2


@pytest.mark.parametrize("missing", ["lane", "depth", "level"])
def test_half_a_place(branch: Branch, lane: Lane, missing: str) -> None:
    place = {"lane": lane, "depth": 1, "level": 1} | {missing: None}
    with pytest.raises(IntegrityError, match="vault_place_whole_or_none"):
        Vault.objects.create(branch=branch, code="V1", **place)


@pytest.mark.parametrize(("depth", "level"), [(3, 1), (1, 4)])
def test_vault_outside_its_lane(branch: Branch, lane: Lane, depth: int, level: int) -> None:
    with pytest.raises(IntegrityError, match="stands outside its lane"):
        Vault.objects.create(branch=branch, code="V1", lane=lane, depth=depth, level=level)


def test_lane_may_not_shrink_below_its_vaults(branch: Branch, lane: Lane) -> None:
    Vault.objects.create(branch=branch, code="V1", lane=lane, depth=2, level=1)
    with pytest.raises(IntegrityError, match="stands outside its lane"):
        Lane.objects.filter(pk=lane.pk).update(depth=1)


def test_vault_in_a_lane_of_another_branch(lane: Lane) -> None:
    south = Branch.objects.create(code="south", name="South")
    Vault.objects.create(branch=south, code="V1", lane=lane, depth=1, level=1)
    with pytest.raises(IntegrityError, match="vault_lane_of_its_branch"):
        connection.check_constraints()


def test_shipment_reference_once_per_branch(shipment: Shipment) -> None:
    with pytest.raises(IntegrityError, match="shipment_reference_once_per_branch"):
        Shipment.objects.create(
            branch=shipment.branch, reference="SHP-1", lot_number="9", label_color="red"
        )


@pytest.mark.parametrize("color", ["#ff0000", "Red", "", "red1"])
def test_label_color_is_a_word(branch: Branch, color: str) -> None:
    with pytest.raises(IntegrityError, match="shipment_color_is_a_word"):
        Shipment.objects.create(branch=branch, reference="SHP-2", lot_number="9", label_color=color)


def test_loose_place_once_per_branch(branch: Branch) -> None:
    LoosePlace.objects.create(branch=branch, name="rack 1")
    with pytest.raises(IntegrityError, match="loose_place_name_once_per_branch"):
        LoosePlace.objects.create(branch=branch, name="rack 1")
