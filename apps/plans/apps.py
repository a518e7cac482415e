from django.apps import AppConfig


class PlansConfig(AppConfig):
    name = "apps.plans"
    default_auto_field = "django.db.models.BigAutoField"
