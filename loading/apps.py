from django.apps import AppConfig


class LoadingConfig(AppConfig):
    default_auto_field = "django.db.models.BigAutoField"
    name = "loading"
