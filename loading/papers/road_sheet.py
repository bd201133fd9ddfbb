"""What the road asks of a plan: weights at every stop, straps, and what would mend it."""

from django.utils.translation import gettext as _
from reportlab.platypus import Flowable

from loading.cautions import cautions_said
from loading.holding_words import centre_said, forces_said, why_said
from loading.measures import length, weight
from loading.models import LoadPlan
from loading.papers.paper import (
    BOLD,
    RIGHT,
    Column,
    PaperForm,
    facts,
    heading,
    lines_to_sign,
    paragraph,
    pdf,
    space,
    table,
)
from loading.papers.subject import plan_subject
from loading.road.changes import Change
from loading.selectors import RoadSheet, road_sheet
from loading.selectors.road_sheet import AdviceLine, Kind, MomentLine, OverLimit, SupportLine


def road_sheet_pdf(plan: LoadPlan, form: PaperForm) -> bytes:
    """Set the road sheet of a stored plan, with room for what the scale says."""
    road, units = road_sheet(plan=plan), form.units
    story: list[Flowable] = [facts(_figures(road, units), form)]
    if road.over:
        story += [
            heading(_("Over a limit")),
            *[paragraph(_over(o, units), BOLD) for o in road.over],
        ]
        story += [heading(_("What would help")), *_advice(road, units)]
    story += [heading(_("What the supports carry, the empty truck included"))]
    story += [_moments(road, form)]
    story += _groups(road, form)
    story += _centre(road, form)
    story += _forces(road, form)
    story += _straps(road, form)
    said = _(
        "Void spaces add up to %(along)s along the truck and %(across)s across it (limit %(limit)s "
        "each). The wall in the nose has to withstand %(wall)s."
    )
    story.append(
        paragraph(
            said
            % {
                "along": length(road.void_along_mm, units),
                "across": length(road.void_across_mm, units),
                "limit": length(road.void_limit_mm, units),
                "wall": weight(road.front_wall_g, units),
            }
        )
    )
    if cautions := cautions_said(road, units):
        story += [heading(_("Look out for")), *map(paragraph, cautions)]
    story += [space(12), lines_to_sign([_("Gross by the scale, date"), _("Driver")], form)]
    return pdf(title=_("Road sheet"), subject=plan_subject(plan), story=story, form=form)


def _figures(road: RoadSheet, units: str) -> list[tuple[str, object]]:
    passes = _("Nothing is over a limit on the road.")
    fails = _("This load must not drive off as it is.")
    found: list[tuple[str, object]] = [
        (_("On the road"), passes if road.passes else fails),
        (_("Goods aboard"), weight(road.load_g, units)),
        (_("Payload"), weight(road.payload_g, units)),
        (_("Truck and load"), weight(road.gross_g, units)),
        (_("Space used, at 7 lb per cubic foot"), weight(road.constructive_g, units)),
    ]
    if road.centre:
        x, y, z = (length(side, units) for side in road.centre.at_mm)
        told = _("%(x)s from the nose, %(y)s from the left wall, %(z)s up")
        found.append((_("Centre of the load"), told % {"x": x, "y": y, "z": z}))
    return found


def _over(over: OverLimit, units: str) -> str:
    names = {
        Kind.PAYLOAD: _("Payload"),
        Kind.AXLE: _("Axle %(name)s") % {"name": over.name},
        Kind.AXLE_GROUP: _("Axles %(name)s (bridge formula)") % {"name": over.name},
    }
    name = names.get(over.kind, over.name)
    if over.kind is Kind.LIFTED:
        said = _("lifted by %(by)s") % {"by": weight(over.over_g, units)}
    else:
        said = _("%(actual)s, limit %(limit)s: %(by)s too much") % {
            "actual": weight(over.actual_g, units),
            "limit": weight(over.limit_g, units),
            "by": weight(over.over_g, units),
        }
    return f"{name}, {_when(over.after_stop)}: {said}"


def _when(after_stop: int) -> str:
    return _("after stop %(stop)s") % {"stop": after_stop} if after_stop else _("at departure")


def _advice(road: RoadSheet, units: str) -> list[Flowable]:
    if not road.advice:
        said = _("No small change was found: plan again with another truck, or take less.")
        return [paragraph(said)]
    lines = [
        paragraph(f"{number}. {_change(advice)}; {_left(advice, units)}")
        for number, advice in enumerate(road.advice, start=1)
    ]
    if not road.mends:
        enough = _("They are not enough: plan again with another truck, or take less.")
        lines.append(paragraph(enough, BOLD))
    return [*lines, paragraph(_("These changes keep all rules of the plan."))]


def _change(advice: AdviceLine) -> str:
    if advice.change is Change.SWAP_TIERS:
        said = _("Load tiers %(one)s and %(other)s the other way round")
        return said % {"one": advice.what[0], "other": advice.what[1]}
    if advice.change is Change.SWAP:
        said = _("Let %(one)s %(name)s and %(other)s %(other_name)s change places")
        return said % {
            "one": advice.what[0],
            "name": advice.names[0],
            "other": advice.what[1],
            "other_name": advice.names[1],
        }
    said = _("Leave %(tag)s %(name)s for another truck")
    return said % {"tag": advice.what[0], "name": advice.names[0]}


def _left(advice: AdviceLine, units: str) -> str:
    if advice.excess_g:
        return _("%(left)s still too much") % {"left": weight(advice.excess_g, units)}
    return _("then all limits are kept")


def _moments(road: RoadSheet, form: PaperForm) -> Flowable:
    supports = [support.name for support in road.moments[0].supports]
    columns = [Column(_("When"), 20), Column(_("Goods aboard"), 16, RIGHT)]
    columns += [Column(name, 32, RIGHT) for name in supports]
    rows = [
        [
            _moment(moment),
            weight(moment.load_g, form.units),
            *[_support(support, form.units) for support in moment.supports],
        ]
        for moment in (*road.by_tier, *road.moments)
    ]
    return table(columns, rows, form)


def _moment(moment: MomentLine) -> str:
    if moment.tier is None:
        return _when(moment.after_stop)
    return _("tier %(tier)s loaded") % {"tier": moment.tier}


def _support(support: SupportLine, units: str) -> str:
    told = _("%(gross)s of %(limit)s (%(percent)s %%)") % {
        "gross": weight(support.gross_g, units),
        "limit": weight(support.limit_g, units),
        "percent": support.percent,
    }
    return f"{told} {_('over')}" if support.is_over else told


def _groups(road: RoadSheet, form: PaperForm) -> list[Flowable]:
    if not road.groups:
        return []
    columns = (
        Column(_("Axles"), 20, BOLD),
        Column(_("Distance"), 20, RIGHT),
        Column(_("Weight"), 30, RIGHT),
        Column(_("May weigh"), 30, RIGHT),
    )
    rows = [
        [
            group.name if group.passes else f"{group.name} {_('over')}",
            length(group.span_mm, form.units),
            weight(group.actual_g, form.units),
            weight(group.allowed_g, form.units),
        ]
        for group in road.groups
    ]
    title = _("Axles by the federal bridge formula (23 CFR 658.17), at departure")
    return [heading(title), table(columns, rows, form)]


def _centre(road: RoadSheet, form: PaperForm) -> list[Flowable]:
    if road.centre is None:
        return []
    columns = (
        Column(_("Direction"), 20),
        Column(_("It lies"), 40),
        Column(_("At most"), 20, RIGHT),
        Column(_("Within"), 20),
    )
    rows = [
        [name, said, limit, _("yes") if passes else _("no")]
        for name, said, limit, passes in centre_said(road.centre, form.units)
    ]
    title = _("The middle of the weight against the CTU Code, which is written for containers")
    return [heading(title), table(columns, rows, form)]


def _forces(road: RoadSheet, form: PaperForm) -> list[Flowable]:
    if not road.forces:
        return []
    columns = (
        Column(_("Tier"), 8, BOLD),
        Column(_("Weight"), 12, RIGHT),
        Column(_("Forward"), 27),
        Column(_("Rearward"), 27),
        Column(_("Sideways"), 26),
    )
    rows = [
        [tier.tier, weight(tier.weight_g, form.units), *forces_said(tier, form.units)]
        for tier in road.forces
    ]
    told = _(
        "What friction leaves of 0.8 g forward, 0.5 g rearward and sideways for breaking strength "
        "(in brackets of 0.435, 0.5 and 0.25 g for working load limits, 49 CFR 393.102), and what "
        "holds the tier"
    )
    return [heading(_("What holds each tier")), paragraph(told), table(columns, rows, form)]


def _straps(road: RoadSheet, form: PaperForm) -> list[Flowable]:
    story: list[Flowable] = [heading(_("Straps"))]
    if not road.strappings:
        said = _(
            "No rule asks for a strap: every tier stands between its neighbours and the walls."
        )
        story.append(paragraph(said))
    else:
        columns = (
            Column(_("Behind tier"), 10, RIGHT),
            Column(_("When"), 16),
            Column(_("Why"), 22),
            Column(_("Straps"), 10, RIGHT),
            Column(_("How high"), 18),
            Column(_("From the nose"), 12, RIGHT),
            Column(_("Needed in all"), 12, RIGHT),
        )
        rows = [
            [
                strap.tier,
                _when(strap.after_stop),
                why_said(strap),
                strap.straps,
                ", ".join(length(height, form.units) for height in strap.heights_mm),
                length(strap.at_mm, form.units),
                weight(strap.required_g, form.units),
            ]
            for strap in road.strappings
        ]
        mats = {strap.tier for strap in road.strappings if strap.mats_do}
        weakest = _("Each strap may hold %(limit)s: its weakest part is the %(part)s.")
        limit = {"limit": weight(road.strap_wll_g, form.units), "part": road.strap_name}
        story += [table(columns, rows, form), paragraph(weakest % limit)]
        if mats:
            said = _("Friction mats under them do as well in tier %(tiers)s.")
            story.append(paragraph(said % {"tiers": ", ".join(map(str, sorted(mats)))}))
    if road.tippers:
        tags = ", ".join(sorted({tipper.tag for tipper in road.tippers}))
        said = _("Tall pieces to tie to the wall beside them: %(tags)s")
        story.append(paragraph(said % {"tags": tags}, BOLD))
    return story
