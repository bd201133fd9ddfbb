"""What the reader's units decide, in templates: `{{ line.size_mm|sizes:units }}`."""

from collections.abc import Iterable

from django import template

from loading import measures
from loading.cautions import cautions_said
from loading.holding_words import centre_said, forces_said, straps_said, why_said
from loading.papers import words
from loading.sentences import planner_said

register = template.Library()


@register.filter
def keys_said(names: Iterable[str]) -> str:
    """Pieces and fills as the picture of a tier names them: 012, F5."""
    return ", ".join(map(words.key, names))


register.filter("key_said", words.key)
register.filter("area", measures.area)
register.filter("cautions_said", cautions_said)
register.filter("centre_said", centre_said)
register.filter("forces_said", forces_said)
register.filter("length", measures.length)
register.filter("planner_said", planner_said)
register.filter("sizes", measures.sizes)
register.filter("straps_said", straps_said)
register.filter("volume", measures.volume)
register.filter("weight", measures.weight)
register.filter("why_said", why_said)
