from typing import Any

from django.db import models
from django.db.models import Q

PEOPLE = "accounts.user"


class EntryQuerySet(models.QuerySet):
    def visible_to(self, user: Any, *, people: bool):
        """Entries on the areas that ``user`` stewards and on what belongs to no area.

        All for administrators. ``people``: whether entries on accounts and their roles are
        among them.
        """
        return self.filter(_within_reach(user), Q() if people else ~Q(object_type=PEOPLE))

    def about(self, object_type: str, object_key: str):
        """What happened to one object."""
        return self.filter(object_type=object_type, object_key=object_key)


def _within_reach(user: Any) -> Q:
    if user.is_superuser:
        return Q()
    scope = Q(place="")
    for path in user.stewardships.values_list("area__path", flat=True):
        scope |= Q(place__startswith=path)
    return scope
