from django.apps import AppConfig


class FacilitiesConfig(AppConfig):
    name = "apps.facilities"
    default_auto_field = "django.db.models.BigAutoField"
