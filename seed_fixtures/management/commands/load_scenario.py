"""Store the invented scenario: `manage.py load_scenario`."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from seed_fixtures.scenario import scenario_load


class Command(BaseCommand):
    help = "Store the invented warehouse and a day with two jobs; twice changes nothing."

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ARG002
        if settings.PRODUCTION:
            raise CommandError("the scenario's people have a known password: not in production")
        for job in scenario_load(now=timezone.now()):
            self.stdout.write(f"{job.load.reference}: {job.load.truck.name}, {job.day}")
