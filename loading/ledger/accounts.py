"""The places where equipment is, and its movements between them."""

from dataclasses import dataclass
from enum import StrEnum


class Equipment(StrEnum):
    PAD = "pad"
    STRAP = "strap"
    LOAD_BAR = "load_bar"
    DOLLY = "dolly"
    APPLIANCE_TRUCK = "appliance_truck"
    PIANO_BOARD = "piano_board"
    COVER = "cover"


class PlaceKind(StrEnum):
    """`storage` is a shipment in storage, `job` what is in use on a job's goods."""

    OUTSIDE = "outside"
    WAREHOUSE = "warehouse"
    STORAGE = "storage"
    TRUCK = "truck"
    JOB = "job"
    WASH = "wash"
    LOST = "lost"


KEYED = frozenset({PlaceKind.STORAGE, PlaceKind.TRUCK, PlaceKind.JOB})
"""The places of which there are several: they have a key (shipment, truck, job)."""


@dataclass(frozen=True, slots=True, order=True)
class Account:
    """Where equipment is. Raises ValueError for a key too many or one missing."""

    kind: PlaceKind
    key: str = ""

    def __post_init__(self) -> None:
        if (self.kind in KEYED) != bool(self.key):
            raise ValueError(f"{self.kind} {'needs a key' if not self.key else 'takes no key'}")


@dataclass(frozen=True, slots=True)
class Movement:
    """So many of one kind from one place to another. `key` makes it count once.

    Raises ValueError unless at least one moves, to another place.
    """

    key: str
    equipment: Equipment
    source: Account
    target: Account
    count: int

    def __post_init__(self) -> None:
        if self.count < 1:
            raise ValueError(f"at least one must move, not {self.count}")
        if self.source == self.target:
            raise ValueError("it moves nowhere")
