"""The rows of a shipment's pieces: hundreds, which a template would take long over."""

from collections.abc import Iterable

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from inventory.selectors import PieceLine
from loading.measures import sizes, weight

register = template.Library()

_ROW = (
    '<tr><td class="tag" data-label="{}">{}</td>'
    '<td data-label="{}"><a href="{}">{}</a></td>'
    '<td data-label="{}">{}</td>'
    '<td data-label="{}">{}{}</td>'
    '<td data-label="{}">{}{}</td>'
    '<td class="number" data-label="{}">{}</td></tr>\n'
)


@register.simple_tag
def piece_rows(pieces: Iterable[PieceLine], units: str) -> SafeString:
    """A row for each piece, each cell with the word that stands above it on a phone."""
    heads = [_("Tag"), _("Piece"), _("Kind"), _("Where"), _("Size"), _("Weight")]
    tag, name, kind, where, size, heavy = heads
    # Looking an address up takes as long as the rest of a row; they differ by the piece alone.
    before, after = reverse("jobs:piece", args=(0,)).rsplit("0", 1)
    estimated = format_html(' <span class="said">{}</span>', _("size estimated"))
    return format_html_join(
        "",
        _ROW,
        (
            (
                *(tag, piece.tag),
                *(name, f"{before}{piece.pk}{after}", piece.name),
                *(kind, piece.kind),
                *(where, piece.where, _stop(piece)),
                *(size, sizes(piece.size_mm, units), estimated if piece.size_estimated else ""),
                *(heavy, weight(piece.weight_g, units)),
            )
            for piece in pieces
        ),
    )


def _stop(piece: PieceLine) -> str:
    return format_html(' <span class="said">{}</span>', piece.stop) if piece.stop else ""
