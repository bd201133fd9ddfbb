"""The day over time, for the dispatcher: bars for each crew, forecast ends against windows."""

from datetime import date
from zoneinfo import ZoneInfo

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from jobs.pictures import GROUPS, key_svg, schedule_svg
from jobs.selectors.boards.times import TimesLine, times_board
from jobs.selectors.schedules import DONE, NOW, PLANNED
from jobs.views.asking import page_or_part, signed_in

WIDE_PX, NARROW_PX = 1180, 340
"""The picture is drawn for a desk and for a phone; the page shows the one that fits."""


@require_GET
@login_required
def times(request: HttpRequest, day: date) -> HttpResponse:
    """Each job's crew over time with the end as forecast, the latest first."""
    board = times_board(user=signed_in(request), day=day, now=timezone.now())
    shown = {
        "day": day,
        "board": board,
        "lines": [(line, *_pictures(line)) for line in board.lines],
        "jobs": " ".join(str(line.job.pk) for line in board.lines),
        "keys": _keys(),
    }
    return render(request, page_or_part(request, "times"), shown)


def _pictures(line: TimesLine) -> tuple[str, str]:
    zone = ZoneInfo(line.job.branch.time_zone)
    wide, narrow = (
        schedule_svg(line.schedule, line.forecast, zone=zone, width=width)
        for width in (WIDE_PX, NARROW_PX)
    )
    return wide, narrow


def _keys() -> list[tuple[str, str | Promise]]:
    """The legend: what bars are about, and how far they are."""
    kinds = [
        (key_svg(name, PLANNED, f"key-{name}"), word) for name, (word, _kinds) in GROUPS.items()
    ]
    states = zip((DONE, NOW, PLANNED), (_("done"), _("now"), _("planned")), strict=True)
    return kinds + [(key_svg("", state, ""), word) for state, word in states]
