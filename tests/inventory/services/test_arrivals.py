"""Vaults from outside: announced, corrected, stowed, called off."""

from datetime import datetime, timedelta
from uuid import UUID

import pytest

from inventory.errors import PlaceRefusedError, UuidReusedError, WriteRefusedError
from inventory.models import Branch, Lane, Shipment, Vault, VaultArrival
from inventory.selectors import arrival_list, vaults_to_stow
from inventory.services import (
    arrival_announce,
    arrival_call_off,
    arrival_stow,
    vault_place,
    vault_stow,
)


def announced(branch: Branch, now: datetime, n: int = 1, code: str = "N-1") -> VaultArrival:
    return arrival_announce(
        arrival_id=UUID(int=n),
        branch=branch,
        code=code,
        expected_at=now + timedelta(hours=n),
        now=now,
    )


def test_a_vault_that_nobody_knew_is_expected_and_stowed(
    branch: Branch, lane: Lane, now: datetime
) -> None:
    arrival = announced(branch, now)
    assert list(arrival_list(branches=Branch.objects.all())) == [arrival]
    assert list(vaults_to_stow(branch=branch)) == [], "it is not there yet"
    for _ in range(2):
        arrival = arrival_stow(arrival=arrival, lane=lane, now=now)
    vault = Vault.objects.get(code="N-1")
    assert (vault.lane, vault.depth, vault.level) == (lane, 2, 1)
    assert not arrival_list(branches=Branch.objects.all())


def test_said_twice_is_once_and_said_anew_corrects_the_time(branch: Branch, now: datetime) -> None:
    first = announced(branch, now)
    assert announced(branch, now) == first
    again = announced(branch, now, n=2)
    assert (again.pk, again.expected_at) == (first.pk, now + timedelta(hours=2))
    with pytest.raises(UuidReusedError):
        announced(branch, now, code="N-2")


def test_it_comes_a_second_time(branch: Branch, lane: Lane, now: datetime) -> None:
    first = arrival_stow(arrival=announced(branch, now), lane=lane, now=now)
    vault_place(vault=first.vault, lane=None, depth=None, level=None)
    assert announced(branch, now, n=2) != first
    assert VaultArrival.objects.count() == 2


def test_what_stands_in_a_lane_does_not_arrive(
    branch: Branch, vault: Vault, lane: Lane, now: datetime
) -> None:
    vault_stow(vault=vault, lane=lane)
    with pytest.raises(PlaceRefusedError, match="A01"):
        announced(branch, now, code=vault.code)


@pytest.mark.parametrize("code", ["", "  ", "V" * 21])
def test_a_code_that_is_none(branch: Branch, now: datetime, code: str) -> None:
    with pytest.raises(WriteRefusedError):
        announced(branch, now, code=code)


def test_a_full_lane_takes_none_and_it_stays_expected(branch: Branch, now: datetime) -> None:
    single = Lane.objects.create(branch=branch, name="B01", depth=1, levels=1)
    arrival_stow(arrival=announced(branch, now), lane=single, now=now)
    second = announced(branch, now, n=2, code="N-2")
    with pytest.raises(PlaceRefusedError, match="full"):
        arrival_stow(arrival=second, lane=single, now=now)
    assert list(arrival_list(branches=Branch.objects.all())) == [second]


def test_called_off(branch: Branch, vault: Vault, shipment: Shipment, now: datetime) -> None:
    for n, code in ((1, "N-1"), (2, vault.code)):
        arrival = announced(branch, now, n=n, code=code)
        for _ in range(2):
            arrival_call_off(arrival=arrival)
    assert not VaultArrival.objects.exists()
    assert list(Vault.objects.all()) == [vault], "only what was added for it is forgotten"
