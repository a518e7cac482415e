from django.db import models


class DemandQuerySet(models.QuerySet):
    def within(self, path: str):
        """Demand at the facilities of the area at ``path``, and of those below it."""
        return self.filter(facility__area__path__startswith=path)
