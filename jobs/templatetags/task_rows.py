"""The rows of a job's tasks: hundreds, which a template would take long over."""

from collections.abc import Iterable

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from jobs.selectors.boards import TaskLine

register = template.Library()

NBSP = "\N{NO-BREAK SPACE}"

_ROW = (
    '<tr class="{}"><td class="number">{}</td>'
    '<td>{} <span class="tag">{}</span>{}{}</td><td>{}{}</td></tr>\n'
)


@register.simple_tag
def task_rows(lines: Iterable[TaskLine]) -> SafeString:
    return format_html_join(
        "",
        _ROW,
        (
            (
                *(line.status, line.number),
                *(line.kind, line.subject, _tier(line.tier)),
                *(_said(line.people), line.state, _people(line)),
            )
            for line in lines
        ),
    )


def _tier(words: str) -> str:
    """Kept on one line: a number alone says nothing."""
    return f" · {words}".replace(" ", NBSP).replace(NBSP, " ", 1) if words else ""


def _said(words: str) -> str:
    return format_html(' <span class="said">{}</span>', words) if words else ""


def _people(line: TaskLine) -> str:
    return format_html_join("", "<br>{}", ((name,) for name in line.hands)) if line.hands else ""
