"""A job's crew over time: a row for each person, bars of work, the window, the end as forecast.

Drawn in black on white: what a bar is about is told by its hatching, how far it is by its edge and
ground, so that it can be printed and needs no colour. Lengths are pixels of a page.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.selectors.forecasts import JobForecast
from jobs.selectors.schedules import DONE, NOW, PLANNED, Bar, JobSchedule, PersonBars
from loading.pictures.svg import (
    BOLD_SIGN_EM,
    Value,
    document,
    element,
    group,
    haloed,
    text,
    text_width,
)

Attributes = dict[str, Value]

HOUR_S: Final = 3600
MINUTE_S: Final = 60
FONT: Final = 13
HEAD: Final = 104
ROW: Final = 52
BAR: Final = 24
FOOT: Final = 26
LEAST_PX: Final = 7
"""Bars that would be narrower are drawn together with those beside them."""
TICK_PX: Final = 64
INK: Final = "#111"

GROUPS: Final[dict[str, tuple[str | Promise, frozenset[str]]]] = {
    "vaults": (gettext_lazy("vaults"), frozenset({"move", "pull", "store", "stow", "clear"})),
    "dock": (gettext_lazy("on the dock"), frozenset({"unpack", "fetch", "wrap", "return"})),
    "truck": (
        gettext_lazy("into the truck"),
        frozenset({"carry", "load", "fill", "close", "take_out"}),
    ),
}
_HATCHES: Final[dict[str, tuple[str, Attributes]]] = {
    "vaults": ("path", {"d": "M0 4H8", "stroke": "#777", "stroke-width": 1.5}),
    "dock": ("path", {"d": "M0 8L8 0", "stroke": "#777", "stroke-width": 1.5}),
    "truck": ("circle", {"cx": 4, "cy": 4, "r": 1.5, "fill": "#666"}),
}
_EDGES: Final[dict[str, Attributes]] = {
    DONE: {"stroke": "#777", "stroke-width": 1},
    NOW: {"stroke": INK, "stroke-width": 3},
    PLANNED: {"stroke": INK, "stroke-width": 1, "stroke-dasharray": "4 2"},
}


@dataclass(frozen=True, slots=True)
class Run:
    """Bars of one kind and state that are drawn as one."""

    group: str
    state: str
    begin_s: int
    end_s: int
    tasks: int
    said: str

    def joined(self, other: "Run") -> "Run":
        return replace(self, end_s=other.end_s, tasks=self.tasks + other.tasks, said="")


@dataclass(frozen=True, slots=True)
class Axis:
    """Time from left to right: seconds after the schedule's start as pixels."""

    starts_at: datetime
    begin_s: int
    end_s: int
    width: int

    def x(self, second: float) -> float:
        return (second - self.begin_s) * self.width / (self.end_s - self.begin_s)

    def clock(self, second: float, zone: ZoneInfo) -> str:
        """The nearest minute: a schedule counts whole seconds from a moment between two."""
        nearest = self.starts_at + timedelta(seconds=second + MINUTE_S / 2)
        return f"{nearest.astimezone(zone):%H:%M}"

    def second(self, moment: datetime) -> float:
        return (moment - self.starts_at).total_seconds()


def schedule_svg(
    schedule: JobSchedule, forecast: JobForecast | None, *, zone: ZoneInfo, width: int
) -> str:
    """Who did, does and will do what, `width` pixels wide, with clock times of the branch."""
    axis = _axis(schedule, forecast, width)
    height = HEAD + ROW * len(schedule.people) + FOOT
    picture = f"times-{schedule.job.pk.hex[:8]}-{width}"
    body = [
        _patterns(picture),
        *_hours(axis, zone, height),
        *_window(axis, schedule, zone, height),
        *_forecast(axis, forecast, zone),
        *(
            _row(axis, person, HEAD + ROW * number, picture)
            for number, person in enumerate(schedule.people)
        ),
        *_now(axis, schedule, zone, height),
    ]
    title = _("Who does what when on %(load)s") % {"load": schedule.job.load.reference}
    return document(width, height, title, _("Time runs from left to right."), body)


def runs_of(bars: Iterable[Bar], least_s: float) -> list[Run]:
    """Bars in their order; neighbours of one kind and state are one while either is too narrow."""
    runs: list[Run] = []
    for bar in bars:
        run = _run(bar)
        last = runs[-1] if runs else None
        if last and _alike(last, run, least_s):
            runs[-1] = last.joined(run)
        else:
            runs.append(run)
    return runs


def _run(bar: Bar) -> Run:
    kinds = (name for name, (_word, kinds) in GROUPS.items() if bar.task.kind in kinds)
    said = bar.task.tag or bar.task.vault
    return Run(next(kinds, "truck"), bar.state, bar.begin_s, bar.end_s, 1, said)


def _alike(run: Run, other: Run, least_s: float) -> bool:
    """Whether two follow each other without a rest, and one is too narrow to stand alone."""
    narrow = min(run.end_s - run.begin_s, other.end_s - other.begin_s) < least_s
    kind = (run.group, run.state) == (other.group, other.state)
    return kind and narrow and other.begin_s - run.end_s < least_s


def _axis(schedule: JobSchedule, forecast: JobForecast | None, width: int) -> Axis:
    """From the first to the last that is to be seen, and a little more on both sides."""
    seconds: list[float] = [0, schedule.now_s, schedule.end_s]
    seconds += [schedule.window_begin_s, schedule.window_end_s]
    if forecast and forecast.late_at:
        seconds.append((forecast.late_at - schedule.starts_at).total_seconds())
    if schedule.now_s > max(schedule.window_end_s, schedule.end_s) + 4 * HOUR_S:
        seconds.remove(schedule.now_s)  # an old day: its work would be a line
    begin_s, end_s = min(seconds), max(seconds)
    room_s = max(300, (end_s - begin_s) * 12 / width)
    return Axis(schedule.starts_at, int(begin_s - room_s), int(end_s + room_s), width)


def _hours(axis: Axis, zone: ZoneInfo, height: int) -> Iterator[str]:
    """A line at each full hour, or at every second or third where they would be crowded.

    There is none where even days would be.
    """
    first = (axis.starts_at + timedelta(seconds=axis.begin_s)).astimezone(zone)
    at = first.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    px = axis.x(HOUR_S) - axis.x(0)
    step = next((n for n in (1, 2, 3, 6, 12, 24) if n * px >= TICK_PX), 0)
    if not step:
        return
    while (second := axis.second(at)) < axis.end_s:
        if at.hour % step == 0:
            x = axis.x(second)
            line: Attributes = {
                "x1": x,
                "x2": x,
                "y1": HEAD - 12,
                "y2": height - FOOT,
                "stroke": "#ccc",
            }
            yield element("line", line)
            half = text_width("00:00", FONT) / 2
            middle = min(max(x, half), axis.width - half)
            yield text(f"{at:%H:%M}", middle, HEAD - 16, FONT, text_anchor="middle")
        at += timedelta(hours=1)


def _window(axis: Axis, schedule: JobSchedule, zone: ZoneInfo, height: int) -> Iterator[str]:
    begin, end = axis.x(schedule.window_begin_s), axis.x(schedule.window_end_s)
    hours = {
        "begin": axis.clock(schedule.window_begin_s, zone),
        "end": axis.clock(schedule.window_end_s, zone),
    }
    yield _said(axis, _("window %(begin)s to %(end)s") % hours, begin, 14)
    box: Attributes = {
        "x": begin,
        "y": 20,
        "width": end - begin,
        "height": 8,
        "fill": "#ddd",
        "stroke": INK,
    }
    yield element("rect", box)
    for shift in (0, 4):
        x = end + shift
        line: Attributes = {"x1": x, "x2": x, "y1": 18, "y2": height - FOOT, "stroke": INK}
        yield element("line", line)


def _forecast(axis: Axis, forecast: JobForecast | None, zone: ZoneInfo) -> Iterator[str]:
    """The likely end as a rhomb on a line from the early to the late one."""
    if not forecast or not (forecast.likely_at and forecast.early_at and forecast.late_at):
        return
    seconds = [axis.second(m) for m in (forecast.early_at, forecast.likely_at, forecast.late_at)]
    early, likely, late = (axis.x(second) for second in seconds)
    clocks = [axis.clock(second, zone) for second in seconds]
    said = _("end %(likely)s (%(early)s to %(late)s)")
    told = said % {"early": clocks[0], "likely": clocks[1], "late": clocks[2]}
    yield _said(axis, told, early, 48, font_weight="bold")
    line: Attributes = {
        "x1": early,
        "x2": late,
        "y1": 60,
        "y2": 60,
        "stroke": INK,
        "stroke-width": 4,
    }
    yield element("line", line)
    rhomb = f"M{likely - 8:.1f} 60L{likely:.1f} 52L{likely + 8:.1f} 60L{likely:.1f} 68Z"
    yield element("path", {"d": rhomb, "fill": "#fff", "stroke": INK, "stroke-width": 3})


def _now(axis: Axis, schedule: JobSchedule, zone: ZoneInfo, height: int) -> Iterator[str]:
    x = axis.x(schedule.now_s)
    if x > axis.width:
        return
    line: Attributes = {"x1": x, "x2": x, "y1": HEAD - 10, "y2": height - FOOT}
    yield element("line", {**line, "stroke": INK, "stroke-width": 2, "stroke-dasharray": "7 4"})
    told = _("now %(time)s") % {"time": axis.clock(schedule.now_s, zone)}
    yield _said(axis, told, x, height - 8, font_weight="bold")


def _row(axis: Axis, person: PersonBars, y: int, picture: str) -> str:
    """A person's name, and below it the bars."""
    user = person.member.user
    name = user.get_full_name() or user.get_username()
    part = person.member.get_part_display()
    least_s = LEAST_PX * (axis.end_s - axis.begin_s) / axis.width
    drawn = [_bar(axis, run, y + 18, picture) for run in runs_of(person.bars, least_s)]
    return group({}, [haloed(f"{name}, {part}", 2, y + 12, FONT, font_weight="bold"), *drawn])


def _bar(axis: Axis, run: Run, y: int, picture: str) -> str:
    x, wide = axis.x(run.begin_s), max(1.5, axis.x(run.end_s) - axis.x(run.begin_s))
    box: Attributes = {"x": x, "y": y, "width": wide, "height": BAR}
    ground = "#d5d5d5" if run.state == DONE else "#fff"
    parts = [
        element("rect", {**box, "fill": ground}),
        element("rect", {**box, "fill": f"url(#{picture}-{run.group})", **_EDGES[run.state]}),
    ]
    said = run.said if run.tasks == 1 else f"×{run.tasks}"  # noqa: RUF001 (times)
    if said and text_width(said, FONT) + 6 < wide:
        parts.append(haloed(said, x + wide / 2, y + 17, FONT, text_anchor="middle"))
    return group({"class": f"bar is-{run.state} of-{run.group}"}, parts)


def _said(axis: Axis, said: str, x: float, y: float, **attributes: Value) -> str:
    """A line of text that begins at `x`, or ends there where it would leave the picture."""
    wide = len(said) * BOLD_SIGN_EM * FONT
    begin = min(max(2.0, x), max(2.0, axis.width - wide - 2))
    return haloed(said, begin, y, FONT, **attributes)


def _patterns(picture: str) -> str:
    return element("defs", {}, *(_pattern(name, picture) for name in GROUPS))


def _pattern(name: str, picture: str) -> str:
    tile: Attributes = {
        "width": 8,
        "height": 8,
        "patternUnits": "userSpaceOnUse",
        "id": f"{picture}-{name}",
    }
    tag, mark = _HATCHES[name]
    return element("pattern", tile, element(tag, mark))


def key_svg(group_name: str, state: str, picture: str) -> str:
    """A bar for the legend."""
    box: Attributes = {"x": 2, "y": 2, "width": 36, "height": 16}
    ground = "#d5d5d5" if state == DONE else "#fff"
    hatch = f"url(#{picture}-{group_name})" if group_name else "none"
    body = [
        _pattern(group_name, picture) if group_name else "",
        element("rect", {**box, "fill": ground}),
        element("rect", {**box, "fill": hatch, **_EDGES[state]}),
    ]
    view: Attributes = {"viewBox": "0 0 40 20", "width": 40, "height": 20, "aria-hidden": "true"}
    return element("svg", view, *body)
