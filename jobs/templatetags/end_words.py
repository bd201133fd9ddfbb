"""What became of a piece, in the reader's words."""

from collections.abc import Mapping
from typing import Final

from django import template
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from jobs.custody.accounting import End, TagAccount

register = template.Library()

END_WORDS: Final[Mapping[End, str | Promise]] = {
    End.LOADED: _("on the truck"),
    End.STAYS: _("stays in storage, not released"),
    End.LEFT: _("left behind"),
    End.MISSING: _("missing"),
    End.REFUSED: _("did not fit"),
    End.CUSTOMER: _("taken by the customer"),
    End.REPLACED: _("went into another piece, or into parts"),
    End.OPEN: _("nobody has said"),
}


@register.filter
def end_said(account: TagAccount) -> str:
    """The end and its reason: "left behind: too wet"."""
    words = str(END_WORDS[account.end])
    return f"{words}: {account.reason}" if account.reason else words
