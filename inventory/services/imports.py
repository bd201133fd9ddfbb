"""Importing an inventory list: all of it, or nothing with every fault named."""

import hashlib
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from inventory.catalogue import UNLISTED
from inventory.errors import (
    FileTooLargeError,
    ImportedElsewhereError,
    ImportFault,
)
from inventory.lists import ParsedList, parse_csv, parse_request, words
from inventory.lists.parsed import refuse_if
from inventory.models import Branch, ImportBatch, ItemKind, Shipment, User
from inventory.selectors.cautions import CautionedPiece, shipment_cautions
from inventory.selectors.kinds import kind_names
from inventory.services.catalogue import catalogue_load
from inventory.services.import_pieces import (
    KnownPiece,
    pieces_with_kinds,
    pieces_write,
    tag_faults,
)
from inventory.services.import_places import Places

DEFAULT_COLOR = "white"


@dataclass(frozen=True, slots=True)
class ImportOrder:
    """What goes with the file: whose it is and what stands on its tags.

    Without a lot number the shipment's reference serves; without a colour, white.
    """

    branch: Branch
    reference: str
    lot_number: str = ""
    label_color: str = ""
    filename: str = ""
    by: User | None = None


def inventory_import(*, order: ImportOrder, data: bytes, now: datetime) -> tuple[ImportBatch, bool]:
    """Store the list in `data` as a shipment; CSV, or JSON if it begins with a brace.

    Returns
    -------
    The record of the import, and whether it is new: the same file changes nothing twice.

    Raises
    ------
    FileTooLargeError : more than `settings.UPLOAD_LIMIT_BYTES`.
    ImportRefusedError : the file, or what it says against the branch, has faults.
    ImportedElsewhereError : the same file went in as another shipment.
    """
    if len(data) > settings.UPLOAD_LIMIT_BYTES:
        raise FileTooLargeError(settings.UPLOAD_LIMIT_BYTES)
    order = _order_checked(order)
    sha256 = hashlib.sha256(data).hexdigest()
    before = _imported_before(order, sha256)
    if before:
        return before, False
    form = ImportBatch.Form.JSON if _looks_like_json(data) else ImportBatch.Form.CSV
    parsed = parse_request(data) if form == ImportBatch.Form.JSON else parse_csv(data)
    _catalogue_there()
    known, faults = pieces_with_kinds(parsed.pieces, kind_names())
    refuse_if(faults)
    with transaction.atomic():
        # One import at a time for each branch: the checks below must stay true until the end.
        Branch.objects.select_for_update().get(pk=order.branch.pk)
        before = _imported_before(order, sha256)
        if before:
            return before, False
        shipment = _write(order, parsed, known, now)
        batch = ImportBatch.objects.create(
            branch=order.branch,
            sha256=sha256,
            form=form,
            filename=order.filename,
            imported_at=now,
            imported_by=order.by,
            shipment=shipment,
            lines=len(known),
            guesses=[piece.guess() for piece in known if not piece.match.sure],
        )
    return batch, True


@dataclass(frozen=True, slots=True)
class ImportPreview:
    """What would come of a list. `guesses` as in `ImportBatch`; `known`: it is imported already;
    `cautions`: what may not ride, or only with care."""

    known: bool
    pieces: int
    estimated: int
    vaults: tuple[str, ...]
    loose: int
    guesses: tuple[dict[str, object], ...]
    cautions: tuple[CautionedPiece, ...] = ()


def inventory_preview(*, order: ImportOrder, data: bytes, now: datetime) -> ImportPreview:
    """Import a list and undo it, so that what is shown is what would be stored.

    Raises what `inventory_import` raises.
    """
    with transaction.atomic():
        batch, new = inventory_import(order=order, data=data, now=now)
        tags = batch.shipment.items.filter(tags__assigned_at=now) if new else batch.shipment.items
        items = list(tags.select_related("vault").distinct())
        cautions = shipment_cautions(shipment=batch.shipment)
        transaction.set_rollback(True)
    return ImportPreview(
        known=not new,
        pieces=batch.lines,
        estimated=sum(item.size_from == "kind" for item in items),
        vaults=tuple(sorted({item.vault.code for item in items if item.vault})),
        loose=sum(item.vault_id is None for item in items),
        guesses=tuple(batch.guesses),
        cautions=cautions,
    )


def _write(
    order: ImportOrder, parsed: ParsedList, known: list[KnownPiece], now: datetime
) -> Shipment:
    shipment = Shipment.objects.filter(branch=order.branch, reference=order.reference).first()
    lot_number = order.lot_number or (shipment.lot_number if shipment else order.reference)
    label_color = order.label_color or (shipment.label_color if shipment else DEFAULT_COLOR)
    places = Places(order.branch, shipment, parsed)
    tags = tag_faults(order.branch, parsed.pieces, lot_number, label_color)
    faults = [*places.faults(), *tags]
    refuse_if(sorted(faults, key=lambda fault: fault.row or 0))
    if shipment is None:
        shipment = Shipment.objects.create(
            branch=order.branch,
            reference=order.reference,
            lot_number=lot_number,
            label_color=label_color,
        )
    vaults = places.write(shipment)
    pieces_write(shipment, known, vaults, now)
    return shipment


def _order_checked(order: ImportOrder) -> ImportOrder:
    """Clean the words beside the file, and refuse them with their own names."""
    faults = []
    clean = {"reference": order.reference, "lot_number": order.lot_number, "label_color": ""}
    for field, name in (("reference", "shipment"), ("lot_number", "lot")):
        try:
            clean[field] = words.text(clean[field], 40)
        except ValueError as error:
            faults.append(ImportFault(None, name, str(error)))
    if not clean["reference"]:
        faults.append(ImportFault(None, "shipment", _("must not be empty")))
    if order.label_color:
        try:
            clean["label_color"] = words.color(order.label_color)
        except ValueError as error:
            faults.append(ImportFault(None, "color", str(error)))
    refuse_if(faults)
    printable = "".join(sign for sign in order.filename if sign.isprintable())
    return ImportOrder(order.branch, **clean, filename=printable[-200:], by=order.by)


def _imported_before(order: ImportOrder, sha256: str) -> ImportBatch | None:
    batch = (
        ImportBatch.objects.select_related("shipment")
        .filter(branch=order.branch, sha256=sha256)
        .first()
    )
    if batch and batch.shipment.reference != order.reference:
        raise ImportedElsewhereError(batch.shipment.reference)
    return batch


def _catalogue_there() -> None:
    """Bring the catalogue back if it was emptied: every piece needs at least the unlisted kind."""
    if not ItemKind.objects.filter(code=UNLISTED).exists():
        catalogue_load()


def _looks_like_json(data: bytes) -> bool:
    return data.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] in (b"{", b"[")
