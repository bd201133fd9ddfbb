"""What became of a piece, in the reader's words."""

from django import template

from jobs.custody.accounting import TagAccount
from loading.papers.words import became

register = template.Library()


@register.filter
def end_said(account: TagAccount) -> str:
    """The end and its reason: "left behind: too wet"."""
    return became(account.end.value, account.reason)
