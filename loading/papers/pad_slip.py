"""The pad slip: which pads and equipment go on the truck and come back, counted and signed for."""

from collections import Counter

from django.utils.translation import gettext as _
from reportlab.platypus import Flowable

from loading.forms import EQUIPMENT_WORDS
from loading.ledger import Equipment
from loading.models import LoadPlan
from loading.papers.paper import (
    BOLD,
    RIGHT,
    Column,
    PaperForm,
    facts,
    heading,
    lines_to_sign,
    pdf,
    space,
    table,
)
from loading.papers.subject import plan_subject
from loading.planner.dockside import PadBatch, PadSwap, pad_swap
from loading.selectors import plan_of
from loading.selectors.straps import plan_holding


def pad_slip_pdf(plan: LoadPlan, form: PaperForm) -> bytes:
    """Set the pads of a plan: needed, when they must be at the dock, and room for the count."""
    pads = pad_swap(*plan_of(plan=plan))
    stock = _("not known") if pads.stock is None else pads.stock
    counted: list[tuple[str, object]] = [
        (_("Moving pads to wrap"), pads.wrapping),
        (_("Moving pads to roll"), pads.rolled),
        (_("Moving pads in all"), pads.wrapping + pads.rolled),
        (_("Moving pads on the truck"), stock),
        (_("Storage pads back to the warehouse"), pads.storage_back),
    ]
    if pads.short:
        counted.append((_("Missing before the start"), pads.short))
    batches = (
        Column(_("Before step"), 20, RIGHT),
        Column(_("For"), 50),
        Column(_("Moving pads at the dock"), 30, RIGHT),
    )
    story: list[Flowable] = [facts(counted, form), space()]
    if pads.batches:
        story.append(table(batches, [_batch(batch) for batch in pads.batches], form))
    story += [
        heading(_("Count")),
        _count(plan, pads, form),
        space(12),
        lines_to_sign([_("Warehouse, date"), _("Loader, date")], form),
    ]
    return pdf(title=_("Pad slip"), subject=plan_subject(plan), story=story, form=form)


def _count(plan: LoadPlan, pads: PadSwap, form: PaperForm) -> Flowable:
    """A line for each kind of equipment: what the plan asks for, and room to write."""
    columns = (
        Column(_("Counted"), 28, BOLD),
        Column(_("Asked for"), 14, RIGHT),
        *(Column(said, 14.5) for said in (_("Given out"), _("Come back"), _("To the wash"))),
        Column(_("Missing or torn"), 14.5),
    )
    kinds = [one for one in Equipment if one not in (Equipment.PAD, Equipment.STRAP)]
    asked: list[tuple[object, object]] = [
        (_("Moving pads"), pads.wrapping + pads.rolled),
        (_("Storage pads"), ""),
        (EQUIPMENT_WORDS[Equipment.STRAP], _straps(plan)),
        *((EQUIPMENT_WORDS[kind], "") for kind in kinds),
    ]
    return table(columns, [[name, count, "", "", "", ""] for name, count in asked], form)


def _straps(plan: LoadPlan) -> int:
    """The most straps that are up at one time: at departure, or after a stop."""
    by_stop: Counter[int] = Counter()
    for strapping in plan_holding(plan=plan).strappings:
        by_stop[strapping.after_stop] += strapping.straps
    return max(by_stop.values(), default=0)


def _batch(batch: PadBatch) -> list[object]:
    if batch.vault is None:
        return [batch.step, _("what comes before the first vault"), batch.pads]
    return [batch.step, _("vault %(vault)s") % {"vault": batch.vault}, batch.pads]
