"""The load on one page: pieces, weight, cube, weight on each support, pads, what stays behind."""

from collections.abc import Iterable

from django.utils.translation import gettext as _
from reportlab.platypus import Flowable

from loading.measures import length, volume, weight
from loading.models import LoadPlan
from loading.papers.paper import (
    BOLD,
    RIGHT,
    Column,
    PaperForm,
    facts,
    heading,
    paragraph,
    pdf,
    space,
    table,
)
from loading.papers.subject import plan_subject
from loading.planner.dockside import pad_swap
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import Item, LoadRequest
from loading.road.moments import When, road_moments
from loading.selectors import plan_may_drive, plan_of
from loading.sentences import planner_said


def load_summary_pdf(plan: LoadPlan, form: PaperForm) -> bytes:
    """Set the summary of a stored plan. Weights on supports are those of the road sheet."""
    request, planned = plan_of(plan=plan)
    items = {item.tag: item for item in request.items}
    loaded = [items[placed.tag] for placed in planned.placements]
    may_not_go = _("This load must not drive off as it is: see its road sheet.")
    story: list[Flowable] = [
        *([] if plan_may_drive(plan=plan) else [paragraph(may_not_go, BOLD)]),
        facts(_figures(plan, request, planned, loaded, form.units), form),
        heading(_("Weight on the truck's supports")),
        table(_support_columns(), _supports(request, planned, form.units), form),
    ]
    if len({item.stop for item in loaded}) > 1:
        stops = table(_stop_columns(), _stops(loaded, form.units), form)
        story += [heading(_("By stop")), stops]
    story += _left_off(planned, items, form)
    warnings = [planner_said(warning, form.units) for warning in planned.warnings]
    story += [space(3), *(paragraph(warning, BOLD) for warning in warnings)]
    note = _("Calculated from the inventory's weights. A scale decides, and so does the law.")
    story += [space(), paragraph(note)]
    return pdf(title=_("Load summary"), subject=plan_subject(plan), story=story, form=form)


def _figures(
    plan: LoadPlan, request: LoadRequest, planned: PlannedLoad, loaded: list[Item], units: str
) -> list[tuple[str, object]]:
    pads = pad_swap(request, planned)
    estimated = sum(item.size_from == "kind" for item in loaded)
    weight_g = sum(item.weight_g for item in loaded)
    payload = weight(request.truck.payload_g, units)
    aboard = plan.load.releases()
    counted: list[tuple[str, object]] = [
        (_("Shipment"), ", ".join(one.shipment.reference for one in aboard)),
        (_("Release No."), ", ".join(one.reference for one in aboard)),
        (_("Pieces loaded"), len(loaded)),
        (_("Pieces left off"), len(planned.left_off)),
        (_("Tiers"), plan.figures["tiers"]),
        (
            _("Weight"),
            _("%(weight)s of %(most)s") % {"weight": weight(weight_g, units), "most": payload},
        ),
        (_("Cube"), volume(sum(_volume_mm3(item) for item in loaded), units)),
        (_("Truck length used"), length(plan.figures["length_mm"], units)),
        (_("Moving pads to wrap"), pads.wrapping),
        (_("Moving pads to roll"), pads.rolled),
        (_("Storage pads back to the warehouse"), pads.storage_back),
    ]
    if estimated:
        counted.append((_("Pieces with an estimated size"), estimated))
    return counted


def _volume_mm3(item: Item) -> int:
    length_mm, width_mm, height_mm = item.size_mm
    return length_mm * width_mm * height_mm


def _support_columns() -> tuple[Column, ...]:
    return (
        Column(_("Support"), 30, BOLD),
        Column(_("When"), 22),
        Column(_("Weight"), 16, RIGHT),
        Column(_("Limit"), 16, RIGHT),
        Column(_("Share"), 16, RIGHT),
    )


def _supports(request: LoadRequest, planned: PlannedLoad, units: str) -> Iterable[list[object]]:
    for moment in road_moments(request, planned):
        for support, gross_g in zip(request.truck.supports, moment.gross_g, strict=True):
            on_it = round(gross_g)
            yield [
                support.name,
                _("after stop %(stop)s") % {"stop": moment.number}
                if moment.when is When.AFTER_STOP
                else _("at departure"),
                weight(on_it, units),
                weight(support.limit_g, units),
                f"{100 * on_it / support.limit_g:.0f} %",
            ]


def _stop_columns() -> tuple[Column, ...]:
    return (
        Column(_("Stop"), 40, BOLD),
        Column(_("Pieces"), 20, RIGHT),
        Column(_("Weight"), 20, RIGHT),
        Column(_("Cube"), 20, RIGHT),
    )


def _stops(loaded: list[Item], units: str) -> Iterable[list[object]]:
    for stop in sorted({item.stop for item in loaded}):
        there = [item for item in loaded if item.stop == stop]
        yield [
            stop,
            len(there),
            weight(sum(item.weight_g for item in there), units),
            volume(sum(_volume_mm3(item) for item in there), units),
        ]


def _left_off(planned: PlannedLoad, items: dict[str, Item], form: PaperForm) -> list[Flowable]:
    if not planned.left_off:
        return []
    columns = (Column(_("Tag"), 12, BOLD), Column(_("Piece"), 30), Column(_("Why"), 58))
    rows = [
        [left.tag, items[left.tag].name, planner_said(left.reason, form.units)]
        for left in planned.left_off
    ]
    return [heading(_("Left off")), table(columns, rows, form)]
