"""What kinds of equipment and their places are called on a page."""

from django import template
from django.utils.translation import gettext_lazy as _

from loading.forms import EQUIPMENT_WORDS, account_words
from loading.ledger import Account, Equipment, PlaceKind
from loading.models import EquipmentMovement

register = template.Library()


@register.filter
def equipment_said(equipment: Equipment) -> str:
    return str(EQUIPMENT_WORDS[equipment])


OUR_REASONS = {
    "there before the ledger": _("there before the ledger"),
    "taken back": _("taken back"),
}
"""Reasons that the software itself writes; all others are somebody's own words."""


@register.filter
def reason_said(reason: str) -> str:
    return str(OUR_REASONS.get(reason, reason))


@register.filter
def account_said(account: Account) -> str:
    return account_words(account)


@register.filter
def movement_said(moved: EquipmentMovement) -> str:
    """So many of what, from where to where."""
    told = _("%(count)s %(what)s, %(source)s → %(target)s")
    return str(
        told
        % {
            "count": moved.count,
            "what": EQUIPMENT_WORDS[Equipment(moved.equipment)],
            "source": account_words(Account(PlaceKind(moved.source_kind), moved.source_key)),
            "target": account_words(Account(PlaceKind(moved.target_kind), moved.target_key)),
        }
    )
