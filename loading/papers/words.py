"""The words of the papers that the plan's own keys stand for."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loading.selectors import TierLine, VaultPlace
from loading.sentences import planner_said

ENDS = {
    "loaded": gettext_lazy("on the truck"),
    "stays": gettext_lazy("stays in storage, not released"),
    "left": gettext_lazy("left behind"),
    "missing": gettext_lazy("missing"),
    "refused": gettext_lazy("did not fit"),
    "customer": gettext_lazy("taken by the customer"),
    "replaced": gettext_lazy("went into another piece, or into parts"),
    "open": gettext_lazy("nobody has said"),
}
"""What becomes of a piece of a job, by the words of its record."""


def became(end: str, reason: str, units: str = "") -> str:
    """The end of a piece and its reason: "left behind: too wet"."""
    return f"{ENDS[end]}: {planner_said(reason, units)}" if reason else str(ENDS[end])


def posture(key: str | None) -> str:
    words = {"standing": _("standing"), "on_side": _("on its side"), "on_end": _("on end")}
    return words.get(key or "", key or "")


def level(key: str | None) -> str:
    return {"base": _("base"), "middle": _("middle"), "top": _("top")}.get(key or "", key or "")


def place(where: VaultPlace | None) -> str:
    if where is None:
        return _("dock")
    said = {"lane": where.lane, "depth": where.depth, "level": where.level}
    return _("lane %(lane)s, %(depth)s deep, level %(level)s") % said


def key(name: str) -> str:
    """A tag as it is, a fill as the picture names it: F5."""
    return f"F{name.removeprefix('fill ')}" if name.startswith("fill ") else name


def rests_on(line: TierLine) -> str:
    if line.inside:
        return _("inside %(host)s") % {"host": line.inside}
    return ", ".join([*([_("deck")] if line.on_deck else []), *map(key, line.rests_on)])


def stop(number: int | None) -> str:
    return "" if number is None else _("stop %s") % number
