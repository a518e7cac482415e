from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models


class Entry(models.Model):
    """Who changed what, when, from what to what, and why. Rows are only ever added."""

    at = models.DateTimeField(auto_now_add=True, db_index=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    action = models.CharField(max_length=60, help_text="noun.past-participle, as in plan.drafted")
    object_type = models.CharField(max_length=60)
    object_key = models.CharField(max_length=120)
    before = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    after = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["object_type", "object_key"], name="audit_entry_object")]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.action} {self.object_key}"
