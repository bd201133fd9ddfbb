"""What is missing of a weight ticket, and what explains a difference, in the reader's words."""

from django import template
from django.utils.translation import gettext_lazy as _

from loading.road.reconciling import CAUSES
from loading.road.tickets import ITEMS, TicketFault

register = template.Library()

ITEM_WORDS = {
    "scale": _("the scale's name and place"),
    "weighed_on": _("the date"),
    "weights": _("gross, tare and net"),
    "vehicle": _("the vehicle"),
    "shipper": _("the shipper"),
    "shipment": _("the shipment's number"),
}
CAUSE_WORDS = {
    "pads_not_in_tare": _("pads that the tare did not hold"),
    "other_not_in_tare": _("other things that the tare did not hold"),
}
assert set(ITEM_WORDS) == set(ITEMS)
assert set(CAUSE_WORDS) == set(CAUSES)


@register.filter
def fault_said(fault: TicketFault) -> str:
    """ "missing: the vehicle", or what the weights say against each other."""
    words = ITEM_WORDS[fault.item]
    if fault.is_missing:
        return str(_("missing: %(item)s") % {"item": words})
    return str(_("gross, tare and net do not agree"))


@register.filter
def cause_said(cause: str) -> str:
    return str(CAUSE_WORDS[cause])
