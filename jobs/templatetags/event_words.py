"""What each kind of event is called on a page."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from django import template
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.folding import EventKind
from jobs.folding.after import AfterKind
from jobs.models import Event
from loading.forms import EQUIPMENT_WORDS
from loading.ledger import Equipment

register = template.Library()

EVENT_WORDS: Final[Mapping[EventKind, str | Promise]] = {
    EventKind.VAULT_MOVED: _("vault set aside"),
    EventKind.VAULT_PULLED: _("vault pulled"),
    EventKind.VAULT_STORED: _("vault put back"),
    EventKind.VAULT_STOWED: _("vault from outside put into a lane"),
    EventKind.VAULT_NOT_COME: _("vault from outside has not come yet"),
    EventKind.VAULT_NOT_FOUND: _("vault not found"),
    EventKind.VAULT_BLOCKED: _("vault cannot be reached"),
    EventKind.VAULT_DAMAGED: _("vault damaged"),
    EventKind.VAULT_CLEARED: _("vault cleared from the dock"),
    EventKind.SEAL_BROKEN: _("seal broken"),
    EventKind.PIECE_UNPACKED: _("piece unpacked"),
    EventKind.PIECE_FETCHED: _("piece fetched"),
    EventKind.PIECE_WRAPPED: _("piece wrapped"),
    EventKind.PADS_CHANGED: _("pads changed"),
    EventKind.PIECE_CARRIED: _("piece carried into the truck"),
    EventKind.PIECE_LOADED: _("piece loaded"),
    EventKind.PIECE_LOADED_ELSEWHERE: _("piece loaded at another place"),
    EventKind.PIECE_RETURNED: _("piece returned to its vault"),
    EventKind.PIECE_TAKEN_OUT: _("piece taken out of the truck"),
    EventKind.PIECE_WANTED: _("piece wanted for a gap"),
    EventKind.PIECE_MISSING: _("piece missing"),
    EventKind.PIECE_DOES_NOT_FIT: _("piece does not fit"),
    EventKind.PIECE_NOT_ON_LIST: _("piece not on the list"),
    EventKind.SIZE_CORRECTED: _("size corrected"),
    EventKind.WEIGHT_CORRECTED: _("weight corrected"),
    EventKind.STOP_CHANGED: _("goes to another stop"),
    EventKind.EXCEPTION_NOTED: _("exception noted"),
    EventKind.PIECE_TAKEN_APART: _("piece taken apart"),
    EventKind.HARDWARE_BOXED: _("hardware put into its box"),
    EventKind.CARTON_PACKED: _("carton packed"),
    EventKind.CARTONS_JOINED: _("cartons put together"),
    EventKind.PIECE_TAKEN_BY_CUSTOMER: _("piece taken by the customer"),
    EventKind.PIECE_LEFT: _("piece stays behind"),
    EventKind.PIECE_RETAGGED: _("piece tagged anew"),
    EventKind.FILL_PLACED: _("rolled pads placed"),
    EventKind.TIER_CLOSED: _("tier closed"),
    EventKind.HELPER_ON: _("came to the floor"),
    EventKind.HELPER_OFF: _("left the floor"),
    EventKind.HELPER_BREAK: _("has a break"),
    EventKind.TASK_BEGUN: _("task begun"),
    EventKind.JOB_PAUSED: _("job paused"),
    EventKind.JOB_RESUMED: _("job resumed"),
    EventKind.TRUCK_CHANGED: _("truck changed"),
    EventKind.PLAN_PUBLISHED: _("plan published"),
    EventKind.DOORS_CLOSED: _("doors closed"),
    EventKind.DEPARTED: _("departed"),
    EventKind.WAY_NOTED: _("stairs and carrying distance told"),
    EventKind.HANDED_OVER: _("handed over"),
    EventKind.ARRIVED: _("arrived"),
    EventKind.UNDONE: _("report taken back"),
}


AFTER_WORDS: Final[Mapping[AfterKind, str | Promise]] = {
    AfterKind.VAULT_SWEPT: _("vault swept"),
    AfterKind.VAULT_MENDED: _("vault mended"),
    AfterKind.VAULT_STOWED: _("vault put into a lane"),
    AfterKind.PIECE_PUT: _("piece put at a place"),
    AfterKind.EQUIPMENT_CAME_BACK: _("equipment came back"),
    AfterKind.TAKEN_BACK: _("report taken back"),
}


@register.filter
def after_said(event: Event) -> str:
    """What was done in the warehouse: "vault put into a lane V-12, B04"."""
    told = event.payload
    named = [told.get(name) for name in ("vault", "tag", "load", "lane", "place", "mend")]
    if event.kind == AfterKind.EQUIPMENT_CAME_BACK:
        named += _came_back(told)
    about = ", ".join(str(one) for one in named if one)
    return f"{AFTER_WORDS[AfterKind(event.kind)]} {about}".strip()


def _came_back(told: Mapping[str, Any]) -> Iterator[str]:
    yield str(EQUIPMENT_WORDS[Equipment(told["equipment"])])
    ways = {
        "home": gettext("%s home"),
        "wash": gettext("%s to the wash"),
        "lost": gettext("%s lost"),
    }
    for name, words in ways.items():
        if told[name]:
            yield words % told[name]


@register.filter
def event_said(event: Event) -> str:
    """The event in the reader's words, and what it is about: "piece loaded 012"."""
    return f"{EVENT_WORDS[EventKind(event.kind)]} {event.subject}".strip()
