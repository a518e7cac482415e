from django.apps import AppConfig


class CoverageConfig(AppConfig):
    name = "apps.coverage"
    default_auto_field = "django.db.models.BigAutoField"
