"""The picture of orders compared, out of a stored answer."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import uuid4

from django import template
from django.utils.safestring import SafeString

from loading.pictures import TradePoint, letter, trade_svg

register = template.Library()
register.filter("order_letter", letter)


@register.filter
def percent(share: float) -> float:
    return 100 * share


@register.filter
def negated(number: int) -> int:
    return -number


@register.filter
def is_order(codes: Sequence[str], order: Sequence[str] | None) -> bool:
    """Whether a chosen order has these vaults one after another as they are here."""
    named = set(codes)
    return order is not None and [code for code in order if code in named] == list(codes)


@register.simple_tag
def fresh_uuid() -> str:
    """A key for a form, so that pressing twice counts once."""
    return str(uuid4())


@register.filter
def trade_picture(orders: Sequence[Mapping[str, Any]], units: str) -> str:
    """Empty for a single order, and for answers that do not say how well space is used."""
    if len(orders) < 2 or any(one.get("space_use") is None for one in orders):
        return ""
    points = [
        TradePoint(
            moves=one["moves"],
            space_use=one["space_use"],
            floor_peak_mm2=one["floor_peak_mm2"],
            in_front=one["in_front"],
            is_planned=number == 0,
        )
        for number, one in enumerate(orders)
    ]
    # Escaped where it is drawn.
    return SafeString(trade_svg(points, units=units))
