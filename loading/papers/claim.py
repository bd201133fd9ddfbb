"""The claim file of one piece: both conditions, photographs, who had it, where it stood."""

from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from io import BytesIO
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, Image

from loading.measures import length, sizes, weight
from loading.papers.paper import (
    BOLD,
    SMALL,
    Column,
    PaperForm,
    facts,
    heading,
    paragraph,
    pdf,
    space,
    table,
)
from loading.papers.words import posture

PHOTO_HEIGHT = 150.0


def claim_pdf(
    document: Mapping[str, Any],
    form: PaperForm,
    *,
    words: Mapping[str, str],
    zone: tzinfo,
    photos: Sequence[tuple[str, bytes]] = (),
) -> bytes:
    """Set a claim. `words` says what each kind of event is called, `zone` the branch's time.

    `document` has the keys tag, name, shipment, size_mm, weight_g, received and released (note,
    meaning, at, by of each), log (at, kind, payload, by, load, undone), handlers, and places (load,
    truck, tier, tiers, at_mm, posture, rests_on, carries). `photos` are names and JPEGs.
    """
    head: list[tuple[str, object]] = [
        (_("Piece"), f"{document['tag']} {document['name']}".strip()),
        (_("Shipment"), document["shipment"]),
        (_("Size"), sizes(document["size_mm"], form.units)),
        (_("Weight"), weight(document["weight_g"], form.units)),
        (_("Who had it in hand"), ", ".join(document["handlers"]) or _("nobody by the records")),
    ]
    story: list[Flowable] = [facts(head, form)]
    for title, key in ((_("When received"), "received"), (_("When released"), "released")):
        story += [heading(title), *_seen(document[key], zone, form)]
    story += [heading(_("Place in the load")), *_places(document["places"], form)]
    story += [heading(_("Custody log")), _log(document["log"], words, zone, form)]
    if photos:
        story += [heading(_("Photographs"))]
        for name, content in photos:
            story += [_photo(content, form), paragraph(name, SMALL), space()]
    return pdf(title=_("Claim file"), subject=document["shipment"], story=story, form=form)


def _seen(lines: Sequence[Mapping[str, str]], zone: tzinfo, form: PaperForm) -> list[Flowable]:
    if not lines:
        return [paragraph(_("Nothing was noted."))]
    columns = (Column(_("Condition"), 25, BOLD), Column(_("Means"), 45), Column(_("Noted"), 30))
    rows = [
        [line["note"], line["meaning"], f"{_when(line['at'], zone)} {line['by']}"] for line in lines
    ]
    return [table(columns, rows, form)]


def _places(places: Sequence[Mapping[str, Any]], form: PaperForm) -> list[Flowable]:
    if not places:
        return [paragraph(_("No accepted plan loads it."))]
    told = _(
        "%(load)s, %(truck)s: tier %(tier)s of %(tiers)s, %(x)s from the nose, %(y)s from the "
        "left wall, %(z)s up, %(posture)s; rests on %(rests)s, carries %(carries)s."
    )
    return [paragraph(told % _place_words(place, form.units)) for place in places]


def _place_words(place: Mapping[str, Any], units: str) -> dict[str, object]:
    x, y, z = (length(side, units) for side in place["at_mm"])
    rests = [_("deck") if key == "deck" else key for key in place["rests_on"]]
    return {
        **{key: place[key] for key in ("load", "truck", "tier", "tiers")},
        "x": x,
        "y": y,
        "z": z,
        "posture": posture(place["posture"]),
        "rests": ", ".join(rests) or _("nothing"),
        "carries": ", ".join(place["carries"]) or _("nothing"),
    }


def _log(
    lines: Sequence[Mapping[str, Any]], words: Mapping[str, str], zone: tzinfo, form: PaperForm
) -> Flowable:
    columns = (
        Column(_("When"), 22),
        Column(_("What"), 48, BOLD),
        Column(_("By"), 15),
        Column(_("Load No."), 15),
    )
    rows = []
    for line in lines:
        note = line["payload"].get("note", "")
        said = words[line["kind"]] + (f": {note}" if note else "")
        said += f" ({_('taken back')})" if line["undone"] else ""
        rows.append([_when(line["at"], zone), said, line["by"], line["load"]])
    return table(columns, rows, form)


def _photo(content: bytes, form: PaperForm) -> Flowable:
    wide, high = ImageReader(BytesIO(content)).getSize()
    scale = min(form.width / wide, PHOTO_HEIGHT / high)
    image = Image(BytesIO(content), width=wide * scale, height=high * scale)
    image.hAlign = "LEFT"
    return image


def _when(moment: str, zone: tzinfo) -> str:
    here = datetime.fromisoformat(moment).astimezone(zone)
    return date_format(here, "SHORT_DATETIME_FORMAT")
