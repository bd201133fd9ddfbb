"""What a page says to everybody alike: made once, then completed for each who asks.

Ten people look again when one of them reports something, and most of what they then see is the
same. Only what differs by who asks is put in afterwards, in place of marks: the address that a
phone's pages lie under, and the fields that make a form this person's and this showing's own.
"""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from secrets import token_hex
from typing import Any, Final
from uuid import uuid4

from django.http import HttpRequest
from django.middleware.csrf import get_token
from django.template.loader import render_to_string
from django.urls import get_script_prefix, set_script_prefix
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from jobs.views.asking import units
from loading.selectors.kept import Kept

_MARK: Final = token_hex(8)  # nobody can write it into a name or a note
_PREFIX: Final = f"/prefix-{_MARK}/"
_CSRF: Final = f"csrf-{_MARK}"
_ONCE: Final = f"once-{_MARK}"

_parts: "Kept[str]" = Kept(2_000)
"""Some kB each for a line of a page, some ten for the few whole parts."""


@dataclass(frozen=True, slots=True)
class _Asking:
    """What templates read of a request where nothing may depend on who asks."""

    path: str


def alike(
    request: HttpRequest, template: str, *, key: Hashable, shown: Callable[[], Mapping[str, Any]]
) -> str:
    """The template's text with marks. `key` names all that is shown beside units and language.

    `shown` is asked only if that text is not kept. What comes out goes through `completed`.
    """
    address = request.path.removeprefix(get_script_prefix())
    measures = units(request)
    return _parts.of(
        (template, address, measures, get_language(), key),
        lambda: _made(template, address, {**shown(), "units": measures}),
    )


def completed(request: HttpRequest, text: str) -> SafeString:
    """The text with this person's own address and forms in place of the marks."""
    own = text.replace(_PREFIX, get_script_prefix()).replace(_CSRF, get_token(request))
    return mark_safe(own.replace(_ONCE, str(uuid4())))


def _made(template: str, address: str, shown: Mapping[str, Any]) -> str:
    before = get_script_prefix()
    set_script_prefix(_PREFIX)
    try:
        asking = {"request": _Asking(_PREFIX + address), "csrf_token": _CSRF, "once": _ONCE}
        return render_to_string(template, {**shown, **asking})
    finally:
        set_script_prefix(before)
