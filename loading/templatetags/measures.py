"""What the reader's units decide, in templates: `{{ line.size_mm|sizes:units }}`."""

from django import template

from loading import measures
from loading.cautions import cautions_said
from loading.holding_words import centre_said, forces_said, straps_said, why_said
from loading.sentences import planner_said

register = template.Library()
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
