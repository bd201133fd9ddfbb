"""`manage.py catalogue_load`: fill in the kinds that the product comes with."""

from argparse import ArgumentParser

from django.core.management.base import BaseCommand

from inventory.services.catalogue import catalogue_load


class Command(BaseCommand):
    help = "Add the catalogue's kinds that are missing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--overwrite", action="store_true", help="put the product's values over the company's"
        )

    def handle(self, *_args: object, **options: bool) -> None:
        loaded = catalogue_load(overwrite=options["overwrite"])
        self.stdout.write(f"{loaded} kinds loaded")
