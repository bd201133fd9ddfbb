"""The papers for the other end: what comes off first, and every tag to check off."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from reportlab.platypus import Flowable

from loading.holding_words import strapping_said
from loading.measures import weight
from loading.models import LoadPlan
from loading.papers import words
from loading.papers.paper import (
    BOLD,
    RIGHT,
    CheckBox,
    Column,
    PaperForm,
    heading,
    lines_to_sign,
    paragraph,
    pdf,
    space,
    table,
)
from loading.papers.subject import plan_subject
from loading.selectors import TierLine, plan_of, straps_after_stops, tier_sheets
from loading.selectors.straps import plan_holding


def unload_list_pdf(plan: LoadPlan, form: PaperForm) -> bytes:
    """Set the pieces as they come off: the last tier first, and in it the last piece first."""
    request, _planned = plan_of(plan=plan)
    several = len({item.stop for item in request.items}) > 1
    columns = (
        Column(_("No."), 6, RIGHT),
        Column("", 5),
        Column(_("Tag"), 13, BOLD),
        Column(_("Piece"), 34),
        Column(_("Tier"), 7, RIGHT),
        *([Column(_("Stop"), 7, RIGHT)] if several else []),
        Column(_("Weight"), 12, RIGHT),
        Column(_("Take care"), 18),
    )
    rows = [
        [
            number,
            CheckBox(),
            line.key,
            line.name,
            tier,
            *([request.item(line.key).stop] if several else []),
            weight(line.weight_g, form.units),
            _care(line),
        ]
        for number, (tier, line) in enumerate(_backwards(plan), start=1)
    ]
    said = _("In the order in which the pieces come off the truck, from the doors to the nose.")
    story: list[Flowable] = [paragraph(said), space(), table(columns, rows, form)]
    story += _straps(plan, form)
    return pdf(title=_("Unload list"), subject=plan_subject(plan), story=story, form=form)


def _straps(plan: LoadPlan, form: PaperForm) -> list[Flowable]:
    """What holds the rest once a stop is delivered."""
    limit_g = plan_holding(plan=plan).gear.weakest[1]
    lines = [
        paragraph(
            _("After stop %(stop)s: %(straps)s")
            % {
                "stop": strapping.after_stop,
                "straps": strapping_said(strapping, limit_g, form.units),
            }
        )
        for strapping in straps_after_stops(plan=plan)
    ]
    return [heading(_("Strap anew")), *lines] if lines else []


def check_off_pdf(plan: LoadPlan, form: PaperForm) -> bytes:
    """Set the check-off sheet: by tag number, so that whoever stands at the door finds it."""
    columns = (
        Column(_("Tag"), 14, BOLD),
        Column(_("Piece"), 36),
        Column(_("Tier"), 8, RIGHT),
        Column(_("Off"), 7),
        Column(_("Exception (what, where, how much)"), 35),
    )
    tagged = sorted(_backwards(plan), key=lambda entry: (len(entry[1].key), entry[1].key))
    rows = [[line.key, line.name, tier, CheckBox(), ""] for tier, line in tagged]
    story = [
        paragraph(_("%(pieces)s pieces, by tag number.") % {"pieces": len(rows)}),
        space(),
        table(columns, rows, form),
        space(12),
        lines_to_sign([_("Received by, date"), _("Delivered by, date")], form),
    ]
    return pdf(title=_("Check-off sheet"), subject=plan_subject(plan), story=story, form=form)


def _backwards(plan: LoadPlan) -> Iterator[tuple[int, TierLine]]:
    for sheet in reversed(tier_sheets(plan=plan)):
        for line in reversed(sheet.lines):
            if line.kind == "piece":
                yield sheet.tier, line


def _care(line: TierLine) -> str:
    notes = [_("fragile")] if line.fragile else []
    if line.inside:
        notes.append(_("inside %(host)s") % {"host": line.inside})
    if line.posture != "standing":
        notes.append(words.posture(line.posture))
    return ", ".join(notes)
