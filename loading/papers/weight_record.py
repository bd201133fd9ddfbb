"""The weight record: the newest ticket's six items, and the scale against the list."""

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from reportlab.platypus import Flowable

from loading.measures import weight
from loading.models import Load, ScaleTicket
from loading.papers.paper import (
    BOLD,
    PaperForm,
    facts,
    heading,
    lines_to_sign,
    paragraph,
    pdf,
    space,
)
from loading.road.reconciling import Reconciled
from loading.selectors import load_shipments
from loading.selectors.scale import LoadScale
from loading.templatetags.scale_words import cause_said, fault_said


def weight_record_pdf(load: Load, scale: LoadScale, form: PaperForm) -> bytes:
    """Set what is known of a load's weight. One that nobody weighed has lines to write on."""
    story: list[Flowable] = [heading(_("Weight ticket"))]
    if scale.tickets:
        newest = scale.tickets[0]
        story.append(facts(_ticket(newest.ticket, form.units), form))
        story += [paragraph(fault_said(fault), BOLD) for fault in newest.faults]
    else:
        story.append(paragraph(_("Not weighed yet.")))
    if scale.reconciled:
        told = _reconciled(scale, scale.reconciled, form.units)
        story += [heading(_("The scale against the list")), facts(told, form)]
        story.append(paragraph(_verdict(scale, scale.reconciled), BOLD))
    if scale.tickets and scale.tickets[0].ticket.explanation:
        story.append(paragraph(scale.tickets[0].ticket.explanation))
    story += [space(12), lines_to_sign([_("Weighmaster, date"), _("Driver")], form)]
    subject = f"{load.reference}, {load_shipments(load=load)}, {load.truck.name}"
    return pdf(title=_("Weight record"), subject=subject, story=story, form=form)


def _ticket(ticket: ScaleTicket, units: str) -> list[tuple[str, object]]:
    weights = ((_("Gross"), ticket.gross_g), (_("Tare"), ticket.tare_g), (_("Net"), ticket.net_g))
    where = ", ".join(filter(None, (ticket.scale_name, ticket.scale_place)))
    day = date_format(ticket.weighed_on, "SHORT_DATE_FORMAT") if ticket.weighed_on else ""
    return [
        (_("Scale"), where),
        (_("Weighed on"), day),
        *((name, "" if told is None else weight(told, units)) for name, told in weights),
        (_("Vehicle"), ticket.vehicle),
        (_("Shipper"), ticket.shipper),
        (_("Number of the shipment"), ticket.shipment),
    ]


def _reconciled(scale: LoadScale, found: Reconciled, units: str) -> list[tuple[str, object]]:
    return [
        (_("Sum of the pieces"), weight(scale.pieces_g, units)),
        (_("of them by typical weights"), weight(scale.estimated_g, units)),
        (_("Difference"), weight(found.difference_g, units)),
        *((cause_said(part.cause), weight(part.weight_g, units)) for part in found.parts),
        (_("What is left of it"), weight(found.left_g, units)),
        (_("Scale and typical weights may be off by"), weight(found.tolerance_g, units)),
        (_("Space used, at 7 lb per cubic foot"), weight(found.constructive_g, units)),
    ]


def _verdict(scale: LoadScale, found: Reconciled) -> str:
    if found.is_explained:
        return _("The difference is explained.")
    if scale.is_settled:
        return _("Somebody has explained the difference.")
    return _(
        "A difference is left that nothing explains: weigh again, look for pieces that no list "
        "has, or write down why."
    )
