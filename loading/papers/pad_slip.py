"""The pad slip: which pads go on the truck and which come back, counted and signed for."""

from django.utils.translation import gettext as _

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
from loading.planner.dockside import PadBatch, pad_swap
from loading.selectors import plan_of


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
    count = (
        Column(_("Counted"), 40, BOLD),
        Column(_("Moving pads"), 30),
        Column(_("Storage pads"), 30),
    )
    counts = [[said, "", ""] for said in (_("Given out"), _("Come back"), _("Missing or torn"))]
    story = [
        facts(counted, form),
        space(),
        table(batches, [_batch(batch) for batch in pads.batches], form),
        heading(_("Count")),
        table(count, counts, form),
        space(12),
        lines_to_sign([_("Warehouse, date"), _("Loader, date")], form),
    ]
    return pdf(title=_("Pad slip"), subject=plan_subject(plan), story=story, form=form)


def _batch(batch: PadBatch) -> list[object]:
    if batch.vault is None:
        return [batch.step, _("what comes before the first vault"), batch.pads]
    return [batch.step, _("vault %(vault)s") % {"vault": batch.vault}, batch.pads]
