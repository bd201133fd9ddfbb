"""A load's weight tickets, and the newest against the pieces and the space that they take."""

from dataclasses import dataclass

from inventory.models import Item, MeasureSource
from loading.models import Load, LoadPlan, ScaleTicket
from loading.planner.request import LoadRequest
from loading.road.reconciling import Reconciled, Weighed, reconcile, stored_net_g
from loading.road.sheet import loaded_space_mm3
from loading.road.tickets import TicketFault, WeightTicket, ticket_faults
from loading.selectors.loads import load_labels
from loading.selectors.plans import load_latest_plan, plan_of


@dataclass(frozen=True, slots=True)
class TicketLine:
    """A ticket and what keeps it from standing."""

    ticket: ScaleTicket
    faults: tuple[TicketFault, ...]


@dataclass(frozen=True, slots=True)
class LoadScale:
    """A load's tickets, the newest first, and the reconciliation of the newest.

    `reconciled` is None while that ticket has faults or the load has no plan; `pieces_g` is the sum
    of the pieces that the plan loads, `estimated_g` of those whose weight is typical of their kind.
    """

    tickets: tuple[TicketLine, ...]
    plan: LoadPlan | None
    pieces_g: int
    estimated_g: int
    reconciled: Reconciled | None

    @property
    def is_settled(self) -> bool:
        """Whether the difference is explained, by figures or by somebody's words."""
        newest = self.tickets[0].ticket if self.tickets else None
        if self.reconciled is None or newest is None:
            return False
        return self.reconciled.is_explained or bool(newest.explanation)


def load_scale(*, load: Load, plan: LoadPlan | None = None) -> LoadScale:
    """The tickets of a load against a plan of it, its latest unless another is named."""
    tickets = tuple(
        TicketLine(ticket, ticket_faults(_as_written(ticket)))
        for ticket in ScaleTicket.objects.filter(load=load)
    )
    plan = plan or load_latest_plan(load=load)
    if plan is None:
        return LoadScale(tickets, None, 0, 0, None)
    request, planned = plan_of(plan=plan)
    tags = [place.tag for place in planned.placements]
    pieces_g = sum(request.item(tag).weight_g for tag in tags)
    estimated_g = _estimated_g(load, request, tags)
    reconciled = None
    if tickets and not tickets[0].faults:
        newest = tickets[0].ticket
        assert newest.net_g is not None
        reconciled = reconcile(
            Weighed(
                net_g=newest.net_g,
                pieces_g=pieces_g,
                estimated_g=estimated_g,
                space_mm3=loaded_space_mm3(request, planned),
                more_pads=newest.pads_after_tare,
                more_g=newest.other_after_tare_g,
            )
        )
    return LoadScale(tickets, plan, pieces_g, estimated_g, reconciled)


@dataclass(frozen=True, slots=True)
class VaultWeighed:
    """A weighed vault: its goods by the scale, pads and blocking being tare, and by the list."""

    vault: str
    pads: int
    net_g: int
    pieces_g: int

    @property
    def difference_g(self) -> int:
        return self.net_g - self.pieces_g


def vault_weighed(
    *, load: Load, vault: str, gross_g: int, container_g: int, blocking_g: int = 0
) -> VaultWeighed | None:
    """What is in one vault of a load's shipment; None where it holds nothing of it.

    `container_g` is the empty vault. Storage pads that nobody counted are none.
    """
    items = list(Item.objects.filter(shipment__in=_shipments(load), vault__code=vault))
    if not items:
        return None
    pads = sum(item.storage_pads or 0 for item in items)
    net_g = stored_net_g(gross_g=gross_g, container_g=container_g, pads=pads, blocking_g=blocking_g)
    return VaultWeighed(vault, pads, net_g, sum(item.weight_g for item in items))


def _estimated_g(load: Load, request: LoadRequest, tags: list[str]) -> int:
    named = load_labels(load=load, left=True)
    typical = {label for item, label in named if item.weight_from == MeasureSource.KIND}
    return sum(request.item(tag).weight_g for tag in tags if tag in typical)


def _shipments(load: Load) -> list[int]:
    return [release.shipment_id for release in load.releases()]


def _as_written(ticket: ScaleTicket) -> WeightTicket:
    return WeightTicket(
        scale_name=ticket.scale_name,
        scale_place=ticket.scale_place,
        weighed_on=ticket.weighed_on,
        gross_g=ticket.gross_g,
        tare_g=ticket.tare_g,
        net_g=ticket.net_g,
        vehicle=ticket.vehicle,
        shipper=ticket.shipper,
        shipment=ticket.shipment,
    )
