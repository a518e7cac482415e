from django.db import models

from apps.facilities.models import Facility


class HoldingQuerySet(models.QuerySet):
    def within(self, path: str):
        """What the facilities of the area at ``path``, and of those below it, hold."""
        return self.filter(facility__area__path__startswith=path)

    def visible_to(self, user):
        return self.filter(facility__in=Facility.objects.visible_to(user))
