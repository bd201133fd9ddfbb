"""What the loader's page says of a piece: the same for everybody, and so made once."""

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from jobs.selectors.boards import LoaderBoard, LoaderLine
from loading.models import LoadPlan
from loading.selectors.kept import Kept

_pieces: "Kept[SafeString]" = Kept(4_000)
"""A few kB each, under all that is told of a piece."""


def loader_pieces(
    *, board: LoaderBoard, plan: LoadPlan, units: str
) -> list[tuple[LoaderLine, SafeString]]:
    """The lines of the tier with the pieces' texts; a fill has a form of its own, and no text."""
    return [(line, _piece(line, plan, units)) for line in board.lines]


def _piece(line: LoaderLine, plan: LoadPlan, units: str) -> SafeString:
    if line.is_fill:
        return mark_safe("")
    carriers = tuple(who.first_name or who.username for who in line.carriers)
    standing = (line.line.key, line.status, line.where, carriers)
    return _pieces.of(
        (plan.run_id, units, get_language(), standing),
        lambda: render_to_string(
            "jobs/_loader_piece.html", {"entry": line, "line": line.line, "units": units}
        ),
    )
