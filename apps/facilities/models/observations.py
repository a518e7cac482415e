from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from apps.facilities.choices import Basis, Observer
from apps.facilities.models.sites import Facility
from apps.facilities.querysets import ObservationQuerySet


class Observation(models.Model):
    """What somebody saw or was told at a facility on one day, and so gave to the register.

    ``facts`` are the fields of one object (``object_type`` and ``object_key`` as in the trail)
    with what was written. ``entry_key`` is chosen by whoever sends it, so that an entry that
    is sent twice is kept once.
    """

    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="observations")
    object_type = models.CharField(max_length=60)
    object_key = models.CharField(max_length=120)
    facts = models.JSONField(encoder=DjangoJSONEncoder)
    observed_on = models.DateField()
    basis = models.CharField(max_length=10, choices=Basis)
    observer = models.CharField(max_length=20, choices=Observer, blank=True)
    why = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    recorded_at = models.DateTimeField(auto_now_add=True)
    entry_key = models.CharField(max_length=80, blank=True)

    objects = ObservationQuerySet.as_manager()

    class Meta:
        ordering = ["-observed_on", "-pk"]
        indexes = [models.Index(fields=["object_type", "object_key"], name="observation_object")]
        constraints = [
            models.UniqueConstraint(
                fields=["by", "entry_key"],
                condition=~Q(entry_key=""),
                name="an_entry_is_kept_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.object_type} {self.object_key}, {self.observed_on}"
