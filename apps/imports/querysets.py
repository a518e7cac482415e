from django.db import models
from django.db.models import Q

from apps.imports.choices import UNFINISHED


class UploadQuerySet(models.QuerySet):
    def visible_to(self, user):
        """All for administrators; for others those for areas that they steward."""
        return self if user.is_superuser else self.filter(_below(user))

    def unfinished(self):
        """Those that a worker has, or is still to take."""
        return self.filter(state__in=UNFINISHED)


def _below(user) -> Q:
    """Nothing for somebody who stewards no area."""
    scope = Q(pk__in=[])
    for path in user.stewardships.values_list("area__path", flat=True):
        scope |= Q(area__path__startswith=path)
    return scope
