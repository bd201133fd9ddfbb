from django.apps import AppConfig


class SeedFixturesConfig(AppConfig):
    name = "seed_fixtures"
