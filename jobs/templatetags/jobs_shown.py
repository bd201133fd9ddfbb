"""Small things that the floor's templates ask of tasks and mappings."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import template
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from jobs.folding.finishing import FINISHED_BY, subject_of
from jobs.folding.kinds import FIELDS
from jobs.models import Task
from jobs.templatetags.telling import event
from loading.measures import IMPERIAL, MM_PER_INCH
from loading.papers import words

METRIC_STEP_MM = 20
HOURS_FROM_MIN = 120

register = template.Library()


@register.filter
def of(mapping: Mapping[Any, Any], key: object) -> object:
    """What a mapping holds under a key, or nothing."""
    return mapping.get(key, "")


@register.filter
def times(count: int) -> range:
    return range(count)


@register.filter
def day_said(day: date) -> str:
    """A day as a heading says it: Thursday 26 November 2026."""
    return capfirst(date_format(day, _("l j F Y")))


@register.filter
def minutes_said(minutes: int) -> str:
    """As 45 min, and from two hours on as 2 h 5 min."""
    if minutes < HOURS_FROM_MIN:
        return _("%(minutes)d min") % {"minutes": minutes}
    hours, rest = divmod(minutes, 60)
    return _("%(hours)d h %(minutes)d min") % {"hours": hours, "minutes": rest}


@register.filter
def near(length_mm: int, units: str) -> list[int]:
    """Lengths around one, an inch or two centimetres apart: what a tape measure may say instead."""
    step_mm = MM_PER_INCH if units == IMPERIAL else METRIC_STEP_MM
    return [max(1, round(length_mm + n * step_mm)) for n in range(-3, 4)]


@register.filter
def finish_event(kind: str) -> str:
    """The event that says a task of this kind is done."""
    return FINISHED_BY[kind].value


@register.filter
def subject_text(task: Task) -> str:
    """The tag, vault, fill or tier that a task is about."""
    return str(next(iter(subject_of(task).values())))


@register.simple_tag
def task_event(task: Task) -> SafeString:
    """The field that says a task is done."""
    kind = FINISHED_BY[task.kind]
    known = {**subject_of(task), "lane": task.lane}
    return event(kind.value, **{name: known[name] for name in FIELDS[kind] if name in known})


@register.filter
def kind_label(task: Task) -> Promise | str:
    """`get_kind_display`, without hashing every translated choice for each of hundreds of rows."""
    return Task.Kind(task.kind).label


@register.filter
def level_said(level: str) -> str:
    """Base, middle or top of a tier in the reader's words."""
    return words.level(level)
