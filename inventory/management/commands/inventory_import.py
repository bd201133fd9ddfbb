"""`manage.py inventory_import FILE --branch CODE --shipment REF`: put a list into the inventory.

The columns of a CSV are told in `inventory.lists.csv_form`. Exit status 2 means that the input
was bad: each fault is one line on stderr and nothing was stored.
"""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from inventory.errors import ImportRefusedError, InventoryError
from inventory.models import Branch, ImportBatch
from inventory.selectors import shipment_cautions
from inventory.services.imports import ImportOrder, inventory_import

BAD_INPUT = 2


class Command(BaseCommand):
    help = "Import an inventory list (CSV, or a load request as JSON)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--branch", required=True, help="the branch's code")
        parser.add_argument("--shipment", required=True, help="our reference of the shipment")
        parser.add_argument("--lot", default="", help="lot number on its tags")
        parser.add_argument("--color", default="", help="label colour of its tags, a word")

    def handle(self, *_args: object, **options: Any) -> None:
        branch = Branch.objects.filter(code=options["branch"]).first()
        if branch is None:
            self._refuse(f"there is no branch {options['branch']}")
        order = ImportOrder(
            branch=branch,
            reference=options["shipment"],
            lot_number=options["lot"],
            label_color=options["color"],
            filename=options["file"].name,
        )
        try:
            batch, new = inventory_import(
                order=order, data=self._read(options["file"]), now=timezone.now()
            )
        except ImportRefusedError as error:
            self._refuse(*map(str, error.faults))
        except InventoryError as error:
            self._refuse(str(error))
        self._tell(batch, new)

    def _read(self, path: Path) -> bytes:
        """Read no more than one byte over the limit, which is enough to refuse the file."""
        try:
            with path.open("rb") as file:
                return file.read(settings.UPLOAD_LIMIT_BYTES + 1)
        except OSError as error:
            self._refuse(f"{path}: {error.strerror}")

    def _tell(self, batch: ImportBatch, new: bool) -> None:
        if not new:
            self.stdout.write(f"already imported as shipment {batch.shipment.reference}")
            return
        self.stdout.write(f"shipment {batch.shipment.reference}: {batch.lines} pieces imported")
        for guess in batch.guesses:
            self.stdout.write(
                f"row {guess['row']}, tag {guess['tag']}: {guess['name']} taken for"
                f" {guess['kind']}; please confirm"
            )
        for piece in shipment_cautions(shipment=batch.shipment):
            self.stdout.write(
                f"tag {piece.tag}, {piece.name}, look: {piece.caution.said}. {piece.caution.advice}"
            )

    def _refuse(self, *reasons: str) -> NoReturn:
        for reason in reasons:
            self.stderr.write(reason)
        sys.exit(BAD_INPUT)
