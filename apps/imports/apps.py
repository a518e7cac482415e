from django.apps import AppConfig


class ImportsConfig(AppConfig):
    name = "apps.imports"
    default_auto_field = "django.db.models.BigAutoField"
