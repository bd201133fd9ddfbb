"""The loader's paper: a page for each tier, with its picture and its pieces in loading order."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from reportlab.platypus import CondPageBreak, Flowable

from loading.holding_words import straps_said
from loading.measures import length, sizes_short, weight
from loading.models import LoadPlan
from loading.papers import words
from loading.papers.paper import (
    BOLD,
    RIGHT,
    SMALL,
    SMALL_RIGHT,
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
from loading.pictures import tier_svg, truck_side_svg, truck_top_svg
from loading.selectors import TierLine, TierSheet, plan_of, tier_sheets

PICTURE_SHARE = 0.5
TRUCK_SHARE = 0.4
_ESTIMATED = gettext_lazy("~ size estimated: look before you trust a narrow gap.")


def tier_sheets_pdf(plan: LoadPlan, form: PaperForm) -> bytes:
    """Set the truck from the side and from above, then every tier, seen from the doors."""
    request, planned = plan_of(plan=plan)
    height = TRUCK_SHARE * form.height
    story: list[Flowable] = [
        Picture(draw(request, planned, units=form.units), width=form.width, height=height)
        for draw in (truck_side_svg, truck_top_svg)
    ]
    for sheet in tier_sheets(plan=plan):
        svg = tier_svg(request, planned, sheet.tier, units=form.units)
        story += [CondPageBreak(form.height), *_tier(sheet, svg, form)]
    return pdf(title=_("Tier sheets"), subject=plan_subject(plan), story=story, form=form)


def _tier(sheet: TierSheet, svg: str, form: PaperForm) -> list[Flowable]:
    title = _("Tier %(tier)s of %(tiers)s") % {"tier": sheet.tier, "tiers": sheet.tiers}
    columns = (
        Column(_("No."), 5, RIGHT),
        Column("", 3.5),
        Column(_("Piece"), 24, BOLD),
        Column(_("How"), 15, SMALL),
        Column(_("Rests on"), 11.5, SMALL),
        Column(_("From left wall"), 9.5, SMALL_RIGHT),
        Column(_("Above deck"), 9.5, SMALL_RIGHT),
        Column(_("Weight"), 8, SMALL_RIGHT),
        Column(_("Deep \u00d7 wide \u00d7 high"), 19.5, SMALL_RIGHT),
    )
    estimated = [paragraph(_ESTIMATED, SMALL)] if any(one.estimated for one in sheet.lines) else []
    return [
        heading(title),
        paragraph(_summary(sheet, form)),
        *(paragraph(said, BOLD) for said in _straps(sheet, form)),
        space(3),
        Picture(svg, width=form.width, height=PICTURE_SHARE * form.height),
        space(3),
        table(columns, [_row(line, form.units) for line in sheet.lines], form),
        *estimated,
    ]


def _summary(sheet: TierSheet, form: PaperForm) -> str:
    said = ngettext(
        "One piece, %(weight)s; %(depth)s deep, from %(from)s to %(to)s behind the nose.",
        "%(pieces)s pieces, %(weight)s; %(depth)s deep, from %(from)s to %(to)s behind the nose.",
        sheet.pieces,
    ) % {
        "pieces": sheet.pieces,
        "weight": weight(sheet.weight_g, form.units),
        "depth": length(sheet.depth_mm, form.units),
        "from": length(sheet.from_mm, form.units),
        "to": length(sheet.to_mm, form.units),
    }
    if not sheet.pads:
        return said
    pads = ngettext("One pad to roll.", "%(pads)s pads to roll.", sheet.pads)
    return f"{said} {pads % {'pads': sheet.pads}}"


def _straps(sheet: TierSheet, form: PaperForm) -> tuple[str, ...]:
    return straps_said(sheet.straps, form.units) if sheet.straps else ()


def _row(line: TierLine, units: str) -> list[object]:
    notes = [words.key(line.key), _("rolled pads") if line.kind == "fill" else line.name]
    if line.fragile:
        notes.append(f"({_('fragile')})")
    return [
        line.number,
        CheckBox(),
        " ".join(notes),
        _how(line),
        words.rests_on(line),
        length(line.left_mm, units),
        length(line.at_mm[2], units),
        weight(line.weight_g, units) if line.kind == "piece" else "",
        ("~ " if line.estimated else "") + sizes_short(line.size_mm, units),
    ]


def _how(line: TierLine) -> str:
    if line.kind == "fill":
        return ngettext("%s pad", "%s pads", line.pads or 0) % (line.pads or 0)
    said = [words.posture(line.posture), words.level(line.level), words.stop(line.stop)]
    return ", ".join(word for word in said if word)
