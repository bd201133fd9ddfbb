"""What is where, after all movements, in whatever order and how often they arrive."""

from collections.abc import Iterable, Mapping

from loading.ledger.accounts import Account, Equipment, Movement, PlaceKind

Balances = Mapping[tuple[Account, Equipment], int]
"""Counts by account and kind; those of 0 are left out. Only `outside` should be below 0."""


def balances(movements: Iterable[Movement]) -> Balances:
    """The balances; a movement whose key came before counts once."""
    found: dict[tuple[Account, Equipment], int] = {}
    for movement in {movement.key: movement for movement in movements}.values():
        for account, change in (
            (movement.source, -movement.count),
            (movement.target, movement.count),
        ):
            key = (account, movement.equipment)
            found[key] = found.get(key, 0) + change
    return {key: count for key, count in sorted(found.items()) if count}


def overdrawn(found: Balances) -> tuple[tuple[Account, Equipment], ...]:
    """Where more has left than was there: somebody counted wrong or told nothing."""
    return tuple(
        key for key, count in found.items() if count < 0 and key[0].kind is not PlaceKind.OUTSIDE
    )
