from django.db.models import QuerySet

from apps.demand.models import Demand
from apps.facilities.models import Facility


def demand_at(facility: Facility) -> QuerySet[Demand]:
    """Tests a year that the catchment of ``facility`` needs, each with its test; one query."""
    return Demand.objects.filter(facility=facility).select_related("test__programme")
