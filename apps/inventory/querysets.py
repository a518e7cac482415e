from django.db import models
from django.db.models import F, Q

from apps.facilities.models import Facility
from apps.inventory.choices import WORKING


class HoldingQuerySet(models.QuerySet):
    def within(self, path: str):
        """What the facilities of the area at ``path``, and of those below it, hold."""
        return self.filter(facility__area__path__startswith=path)

    def visible_to(self, user):
        return self.filter(facility__in=Facility.objects.visible_to(user))


class LogQuerySet(models.QuerySet):
    """What happened to items; it is seen by those who see the item where it is now."""

    def within(self, path: str):
        return self.filter(item__facility__area__path__startswith=path)

    def visible_to(self, user):
        return self.filter(item__facility__in=Facility.objects.visible_to(user))


class VerificationQuerySet(models.QuerySet):
    def within(self, path: str):
        """Those of items at the facilities of the area at ``path`` and of those below it."""
        return self.filter(item__facility__area__path__startswith=path)

    def visible_to(self, user):
        return self.filter(item__facility__in=Facility.objects.visible_to(user))

    def standing(self):
        """Neither withdrawn nor ended by a change of the device; they may have expired."""
        return self.filter(withdrawn_on=None, ended_on=None)

    def outdated(self):
        """Standing ones whose device has since broken, moved, or turned out another model."""
        return self.standing().filter(
            ~Q(item__condition__in=WORKING)
            | ~Q(item__facility=F("facility"))
            | ~Q(item__device_model=F("device_model"))
        )
