"""What a button says, as hidden fields: `{% event "piece_loaded" tag=line.key %}`."""

import json
from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag
def event(kind: str, **payload: str | int) -> SafeString:
    """A field that says one event; fields beside it, as `pads`, complete its payload."""
    return format_html(
        '<input type="hidden" name="event" value="{}">',
        json.dumps({"kind": kind, "payload": payload}),
    )


@register.simple_tag
def event_value(kind: str, **payload: str | int) -> str:
    """The same as the value of a checkbox or a button."""
    return json.dumps({"kind": kind, "payload": payload})


@register.simple_tag(takes_context=True)
def once(context: Mapping[str, Any]) -> SafeString:
    """A field that makes pressing a button twice count once."""
    return format_html(
        '<input type="hidden" name="uuid" value="{}">', context.get("once") or uuid4()
    )
