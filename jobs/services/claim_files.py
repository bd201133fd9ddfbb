"""The claim file of a piece: a paper, its data and its photographs in one archive."""

import io
import json
import zipfile
from collections.abc import Mapping
from zoneinfo import ZoneInfo

from inventory.models import Item, Photo
from inventory.selectors import item_photos, photo_open
from jobs.selectors.claims import claim_document
from loading.papers import PaperForm
from loading.papers.claim import claim_pdf

EPOCH = (1980, 1, 1, 0, 0, 0)
"""What a ZIP archive can say at least (APPNOTE 4.4.6): the same content gives the same bytes."""


def claim_file(*, item: Item, form: PaperForm, words: Mapping[str, str]) -> bytes:
    """Pack it: claim.pdf, claim.json, and the photographs by moment. It is made, never stored."""
    document = claim_document(item=item)
    photos = [(_name(photo), _content(photo)) for photo in item_photos(item=item)]
    kept = [(name, content) for name, content in photos if content is not None]
    paper = claim_pdf(
        document,
        form,
        words=words,
        zone=ZoneInfo(item.shipment.branch.time_zone),
        photos=kept,
    )
    told = json.dumps(document, indent=2, ensure_ascii=False)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in [("claim.pdf", paper), ("claim.json", told.encode()), *kept]:
            archive.writestr(zipfile.ZipInfo(name, EPOCH), content)
    return packed.getvalue()


def _name(photo: Photo) -> str:
    return f"photos/{photo.moment}-{photo.taken_at:%Y%m%dT%H%M%SZ}-{photo.pk}.jpg"


def _content(photo: Photo) -> bytes | None:
    """The picture, or None where the storage lost it: the claim is then made without."""
    try:
        with photo_open(photo=photo) as file:
            return file.read()
    except FileNotFoundError:
        return None
