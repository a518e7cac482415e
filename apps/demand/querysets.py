from django.db import models


class FacilityRowQuerySet(models.QuerySet):
    def within(self, path: str):
        """Rows of the facilities of the area at ``path``, and of those below it."""
        return self.filter(facility__area__path__startswith=path)
