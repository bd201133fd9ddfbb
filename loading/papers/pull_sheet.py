"""The warehouse's paper: what is shifted, pulled, fetched and cleared, in order, to tick off."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from reportlab.platypus import KeepTogether, Spacer

from loading.models import LoadPlan
from loading.papers import words
from loading.papers.paper import (
    BOLD,
    RIGHT,
    SMALL,
    CheckBox,
    Column,
    PaperForm,
    heading,
    paragraph,
    pdf,
    space,
    table,
)
from loading.papers.picture import Picture
from loading.papers.subject import plan_subject
from loading.pictures import warehouse_pictures
from loading.selectors import PullLine, plan_of, pull_sheet

PICTURE_HEIGHT = 210
DOCK_HEIGHT = 420


def pull_sheet_pdf(plan: LoadPlan, form: PaperForm) -> bytes:
    """Set the pull sheet, with pictures of each vault's shift and of the dock over time."""
    sheet = pull_sheet(plan=plan)
    pictures = warehouse_pictures(*plan_of(plan=plan), units=form.units)
    spots = ngettext(
        "One vault at a time stands open on the dock.",
        "At most %(spots)s vaults stand open on the dock.",
        sheet.vault_spots,
    ) % {"spots": sheet.vault_spots}
    columns = (
        Column(_("No."), 5, RIGHT),
        Column("", 4),
        Column(_("Do"), 13, BOLD),
        Column(_("Vault or piece"), 22),
        Column(_("From"), 18),
        Column(_("To"), 18),
        Column(_("Inside, door side first"), 26, SMALL),
    )
    story = [
        paragraph(spots),
        paragraph(_("Depth 1 is nearest the aisle; level 1 stands on the floor.")),
        space(),
        table(columns, [_row(line) for line in sheet.lines], form),
    ]
    numbers = {line.step: line.number for line in sheet.lines}
    for move in pictures.moves:
        said = _("No. %(number)s, step %(step)s of the plan: vault %(vault)s") % {
            "number": numbers[move.step],
            "step": move.step,
            "vault": move.vault,
        }
        picture = Picture(move.svg, width=form.width, height=PICTURE_HEIGHT)
        story.append(KeepTogether([heading(said), picture, Spacer(1, 4)]))
    dock = Picture(pictures.dock, width=form.width, height=DOCK_HEIGHT)
    story.append(KeepTogether([heading(_("The dock")), dock]))
    return pdf(title=_("Pull sheet"), subject=plan_subject(plan), story=story, form=form)


def _row(line: PullLine) -> list[object]:
    what = [line.vault or line.tag or ""]
    if line.name:
        what.append(line.name)
    if not line.ours:
        what.append("({})".format(_("another customer's")))
    if line.moved_for:
        what.append(_("stands before %(vault)s") % {"vault": line.moved_for})
    if line.done:
        what.append("({})".format(_("done or in hand")))
    return [
        line.number,
        CheckBox(),
        _done(line.do),
        paragraph(" ".join(what), BOLD),
        (line.place or _("loose in the warehouse")) if line.do == "fetch" else words.place(line.at),
        _to(line),
        _contents(line),
    ]


def _done(do: str) -> str:
    said = {
        "move": _("Set aside"),
        "pull": _("Pull"),
        "fetch": _("Fetch"),
        "clear": _("Clear the dock"),
        "return": _("Put back"),
        "store": _("Put back"),
    }
    return said[do]


def _to(line: PullLine) -> str:
    if line.do in ("pull", "fetch"):
        return _("dock")
    if line.do == "return":
        inside = _("vault %(vault)s") % {"vault": line.into}
        return inside if line.into else line.place or _("its place in the warehouse")
    return _("away") if line.do == "clear" else words.place(line.to)


def _contents(line: PullLine) -> str:
    stays = _("stays")
    tags = ", ".join(
        piece.tag if piece.leaves else f"{piece.tag} ({stays})" for piece in line.contents
    )
    looks = (
        _("%(tag)s, look: %(group)s.") % {"tag": look.tag, "group": look.caution.said}
        + f" {look.caution.advice}"
        for look in line.looks
    )
    return " ".join(filter(None, (tags, *looks)))
