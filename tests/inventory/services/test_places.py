"""Lanes of a branch, and vaults put into them."""

import pytest

from inventory.errors import PlaceRefusedError, ReferenceTakenError
from inventory.models import Branch, Lane, Vault
from inventory.services import lane_create, vault_place


def test_the_same_lane_twice(branch: Branch) -> None:
    lane = lane_create(branch=branch, name="C01", depth=2, levels=3)
    assert lane_create(branch=branch, name="C01", depth=2, levels=3) == lane
    with pytest.raises(ReferenceTakenError):
        lane_create(branch=branch, name="C01", depth=2, levels=2)


def test_in_and_out_of_a_lane(lane: Lane, vault: Vault) -> None:
    vault_place(vault=vault, lane=lane, depth=2, level=1)
    vault.refresh_from_db()
    assert (vault.lane, vault.depth, vault.level) == (lane, 2, 1)
    vault_place(vault=vault, lane=None, depth=2, level=1)
    vault.refresh_from_db()
    assert (vault.lane, vault.depth, vault.level) == (None, None, None)


@pytest.mark.parametrize(
    ("depth", "level", "reason"),
    [
        (3, 1, "2 deep"),
        (1, 4, "3 high"),
        (None, 1, "2 deep"),
        (2, 1, "vault V1 stands there"),
        (1, 2, "nothing is below"),
        (2, 3, "nothing is below"),
    ],
)
def test_a_place_that_cannot_be(
    lane: Lane, vault: Vault, depth: int | None, level: int, reason: str
) -> None:
    Vault.objects.create(branch=lane.branch, code="V1", lane=lane, depth=2, level=1)
    with pytest.raises(PlaceRefusedError, match=reason):
        vault_place(vault=vault, lane=lane, depth=depth, level=level)


def test_a_lane_of_another_branch(vault: Vault) -> None:
    south = Branch.objects.create(code="south", name="South")
    lane = Lane.objects.create(branch=south, name="A01", depth=1, levels=1)
    with pytest.raises(PlaceRefusedError, match="another branch"):
        vault_place(vault=vault, lane=lane, depth=1, level=1)
