"""Lengths, areas and weights in templates: `{{ line.size_mm|sizes:units }}`."""

from django import template

from loading import measures

register = template.Library()
register.filter("area", measures.area)
register.filter("length", measures.length)
register.filter("sizes", measures.sizes)
register.filter("volume", measures.volume)
register.filter("weight", measures.weight)
