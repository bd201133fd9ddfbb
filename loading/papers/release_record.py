"""The release record: what was handed over, to whom, with which exceptions, and who signed."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from reportlab.platypus import Flowable

from loading.papers.paper import (
    BOLD,
    SMALL,
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
from loading.papers.words import became

SIGNATURE_HEIGHT = 54.0
RECORD_TITLES = {
    "release-record": gettext_lazy("Release record"),
    "high-value": gettext_lazy("High-value list"),
    "carrier-hand-over": gettext_lazy("Hand-over to another carrier"),
}


def release_record_pdf(
    document: Mapping[str, Any],
    form: PaperForm,
    *,
    version: int,
    reason: str = "",
    signatures: Sequence[Mapping[str, Any]] = (),
    signed_at: datetime | None = None,
) -> bytes:
    """Set a record. Without signatures it has lines to sign on.

    `document` has the keys kind (of RECORD_TITLES), load, release, shipment, lot, receiver,
    identity (checked when and by whom, or ""), truck, pieces (tag and name each), left (tag, name,
    end and reason), exceptions (tag and note) and conditions (tag, received and released).
    `signed_at` is in the branch's own time.
    """
    pieces, left = document["pieces"], document["left"]
    title = RECORD_TITLES[document["kind"]]
    head: list[tuple[str, object]] = [
        (_("Shipment"), document["shipment"]),
        (_("Lot"), document["lot"]),
        (_("Release No."), document["release"]),
        (_("Truck"), document["truck"]),
        (_("Received by"), document["receiver"]),
        (_("Identity checked"), document["identity"] or _("no")),
        (_("Pieces handed over"), len(pieces)),
        (_("Pieces not handed over"), len(left)),
        (_("Exceptions"), len(document["exceptions"])),
    ]
    if reason:
        corrected = _("version %(version)s, corrected: %(reason)s")
        head.append((_("Version"), corrected % {"version": version, "reason": reason}))
    story: list[Flowable] = [facts(head, form)]
    story += _listed(_("Exceptions"), document["exceptions"], _("What, where"), "note", form)
    story += _conditions(document["conditions"], form)
    told = [
        row | {"told": f"{row['name']}: {became(row['end'], row['reason'], form.units)}"}
        for row in left
    ]
    story += _listed(_("Pieces not handed over"), told, _("Piece"), "told", form)
    story += _signed(signatures, signed_at, form)
    story += _listed(_("Pieces handed over"), pieces, _("Piece"), "name", form)
    subject = _("%(load)s, version %(version)s") % {
        "load": document["load"],
        "version": version,
    }
    return pdf(title=str(title), subject=subject, story=story, form=form)


def _listed(
    title: str, rows: Sequence[Mapping[str, Any]], name: str, key: str, form: PaperForm
) -> list[Flowable]:
    if not rows:
        return []
    columns = (Column(_("Tag"), 20, BOLD), Column(name, 80))
    return [heading(title), table(columns, [[row["tag"], row[key]] for row in rows], form)]


def _conditions(rows: Sequence[Mapping[str, Any]], form: PaperForm) -> list[Flowable]:
    """Both conditions side by side, of the pieces of which one was noted."""
    if not rows:
        return []
    columns = (
        Column(_("Tag"), 20, BOLD),
        Column(_("When received"), 40),
        Column(_("When released"), 40),
    )
    cells = [
        [row["tag"], row["received"] or _("nothing noted"), row["released"] or _("no change noted")]
        for row in rows
    ]
    return [heading(_("Condition")), table(columns, cells, form)]


def _signed(
    signatures: Sequence[Mapping[str, Any]], signed_at: datetime | None, form: PaperForm
) -> list[Flowable]:
    said = _("The pieces listed changed hands in the condition that the exceptions tell.")
    story: list[Flowable] = [heading(_("Signatures")), paragraph(said), space()]
    if not signatures or signed_at is None:
        return [*story, lines_to_sign([_("Received by, date"), _("Handed over by, date")], form)]
    when = date_format(signed_at, "DATETIME_FORMAT")
    for signature in signatures:
        part = {"received": _("Received by"), "handed_over": _("Handed over by")}
        under = f"{part[signature['part']]}: {signature['name']}, {when}"
        story += [Drawn(signature["strokes"], form.width / 2), paragraph(under, SMALL), space()]
    return story


class Drawn(Flowable):
    """A signature as it was drawn, fitted into a line to sign on."""

    def __init__(self, strokes: Sequence[Sequence[Sequence[int]]], width: float) -> None:
        super().__init__()
        self.width, self.height = width, SIGNATURE_HEIGHT
        xs = [point[0] for stroke in strokes for point in stroke]
        ys = [point[1] for stroke in strokes for point in stroke]
        self._strokes, self._left, self._low = strokes, min(xs), max(ys)
        across, high = max(1, max(xs) - min(xs)), max(1, max(ys) - min(ys))
        self._scale = min((width - 8) / across, (SIGNATURE_HEIGHT - 8) / high)

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: ARG002, N803
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setLineWidth(0.8)
        self.canv.line(0, 0, self.width, 0)
        self.canv.setLineWidth(1.3)
        self.canv.setLineCap(1)
        for stroke in self._strokes:
            path = self.canv.beginPath()
            path.moveTo(*self._at(stroke[0]))
            for point in stroke[1:] or stroke:
                path.lineTo(*self._at(point))
            self.canv.drawPath(path, stroke=1, fill=0)

    def _at(self, point: Sequence[int]) -> tuple[float, float]:
        x = 4 + (point[0] - self._left) * self._scale
        return x, 4 + (self._low - point[1]) * self._scale
