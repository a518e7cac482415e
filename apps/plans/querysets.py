from django.db import models

from apps.facilities.models import Area


class PlanQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Plans for the areas that ``user`` stewards, and for those below."""
        return self.filter(area__in=Area.objects.visible_to(user))
