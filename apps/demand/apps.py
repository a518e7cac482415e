from django.apps import AppConfig


class DemandConfig(AppConfig):
    name = "apps.demand"
    default_auto_field = "django.db.models.BigAutoField"
