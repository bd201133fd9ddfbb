"""What kinds of equipment and their places are called on a page."""

from django import template

from loading.forms import EQUIPMENT_WORDS, PLACE_WORDS
from loading.ledger import Account, Equipment

register = template.Library()


@register.filter
def equipment_said(equipment: Equipment) -> str:
    return str(EQUIPMENT_WORDS[equipment])


@register.filter
def account_said(account: Account) -> str:
    """The place, and which of several: "truck: Truck 7"."""
    words = str(PLACE_WORDS[account.kind])
    return f"{words}: {account.key}" if account.key else words
