from django.db import models
from django.db.models import Q


class AreaQuerySet(models.QuerySet):
    def within(self, path: str):
        """The area at ``path`` and all areas below it."""
        return self.filter(path__startswith=path)

    def visible_to(self, user):
        """All for administrators; for others the areas they steward and those below."""
        return self if user.is_superuser else self.filter(_below(user, "path"))


class FacilityQuerySet(models.QuerySet):
    def within(self, path: str):
        """Facilities of the area at ``path`` and of all areas below it."""
        return self.filter(area__path__startswith=path)

    def open(self):
        return self.filter(closed_on__isnull=True)

    def visible_to(self, user):
        """All for administrators; for others those in the areas they steward."""
        return self if user.is_superuser else self.filter(_below(user, "area__path"))


class ObservationQuerySet(models.QuerySet):
    def about(self, object_type: str, object_key: str):
        """What was seen of one object."""
        return self.filter(object_type=object_type, object_key=object_key)

    def visible_to(self, user):
        """All for administrators; for others those at facilities of the areas they steward."""
        return self if user.is_superuser else self.filter(_below(user, "facility__area__path"))


class TravelTimeQuerySet(models.QuerySet):
    def within(self, path: str):
        """Ways between two facilities of the area at ``path`` and of those below it."""
        return self.filter(
            origin__area__path__startswith=path, destination__area__path__startswith=path
        )

    def visible_to(self, user):
        """All for administrators; for others those that set out in the areas they steward."""
        return self if user.is_superuser else self.filter(_below(user, "origin__area__path"))


def _below(user, field: str) -> Q:
    """Nothing for somebody who stewards no area: access is given, never assumed."""
    paths = user.stewardships.values_list("area__path", flat=True)
    scope = Q(pk__in=[])
    for path in paths:
        scope |= Q(**{f"{field}__startswith": path})
    return scope
