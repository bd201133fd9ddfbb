"""What a weight ticket must say, and whether its weights agree.

Source: 49 CFR 375.519 (section number from memory): the scale's name and place, the date, the
weights marked as gross, tare and net, the vehicle, the shipper, the shipment's number.
"""

from dataclasses import dataclass
from datetime import date

MISSING = "is missing"
ROUNDING_G = 2
"""Weights that were written in whole pounds are kept in whole grams."""
ITEMS = ("scale", "weighed_on", "weights", "vehicle", "shipper", "shipment")
"""The six items, in the words of this module's fields; the scale is its name and its place."""


@dataclass(frozen=True, slots=True)
class WeightTicket:
    """A ticket as far as it is filled in; "" and None mean that nothing is written there."""

    scale_name: str
    scale_place: str
    weighed_on: date | None
    gross_g: int | None
    tare_g: int | None
    net_g: int | None
    vehicle: str
    shipper: str
    shipment: str


@dataclass(frozen=True, slots=True)
class TicketFault:
    """One of the six items that is missing, or what its weights say against each other."""

    item: str
    message: str

    @property
    def is_missing(self) -> bool:
        return self.message == MISSING


def ticket_faults(ticket: WeightTicket) -> tuple[TicketFault, ...]:
    """Everything that keeps the ticket from standing; none: it can be reconciled."""
    written = {
        "scale": bool(ticket.scale_name and ticket.scale_place),
        "weighed_on": ticket.weighed_on is not None,
        "weights": None not in (ticket.gross_g, ticket.tare_g, ticket.net_g),
        "vehicle": bool(ticket.vehicle),
        "shipper": bool(ticket.shipper),
        "shipment": bool(ticket.shipment),
    }
    missing = tuple(TicketFault(item, MISSING) for item in ITEMS if not written[item])
    return (*missing, *_weight_faults(ticket))


def _weight_faults(ticket: WeightTicket) -> tuple[TicketFault, ...]:
    gross, tare, net = ticket.gross_g, ticket.tare_g, ticket.net_g
    if gross is None or tare is None or net is None:
        return ()
    if gross < tare:
        return (TicketFault("weights", "the gross weight is less than the tare"),)
    if abs(gross - tare - net) > ROUNDING_G:
        told = f"gross less tare is {(gross - tare) / 1000:g} kg, the net says {net / 1000:g} kg"
        return (TicketFault("weights", told),)
    return ()
