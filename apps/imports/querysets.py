from django.db import models

from apps.imports.choices import UNFINISHED


class UploadQuerySet(models.QuerySet):
    def visible_to(self, user):
        """All for administrators; for others those for areas that they steward."""
        if user.is_superuser:
            return self
        scope = models.Q(pk__in=[])
        for path in user.stewardships.values_list("area__path", flat=True):
            scope |= models.Q(area__path__startswith=path)
        return self.filter(scope)

    def unfinished(self):
        """Those that a worker has, or is still to take."""
        return self.filter(state__in=UNFINISHED)
