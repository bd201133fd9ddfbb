"""Pads and equipment by double entry: nothing appears or disappears, it only moves.

Pure: no framework, no clock. What comes from the shop comes from the account `outside`, what is
gone for good goes to `lost`; so the counts of all accounts of one kind always add up to nothing.
"""

from loading.ledger.accounts import Account, Equipment, Movement, PlaceKind
from loading.ledger.balances import Balances, balances
from loading.ledger.closing import Difference, differences

__all__ = [
    "Account",
    "Balances",
    "Difference",
    "Equipment",
    "Movement",
    "PlaceKind",
    "balances",
    "differences",
]
