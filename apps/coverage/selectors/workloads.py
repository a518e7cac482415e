from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from apps.coverage.models import Assessment, SiteWorkload
from apps.facilities.models import Facility
from apps.facilities.selectors import districts_for, facilities_for


def workloads_for(user: Any) -> QuerySet[SiteWorkload]:
    """The time of the sites that ``user`` may see, by the latest assessments; three queries."""
    newest = Assessment.objects.filter(area=OuterRef("pk")).values("pk")[:1]
    latest = districts_for(user).annotate(latest=Subquery(newest)).values("latest")
    return SiteWorkload.objects.filter(
        assessment__in=latest, facility__in=facilities_for(user).order_by()
    ).select_related("facility__area", "assessment")


def workload_at(user: Any, facility: Facility) -> SiteWorkload | None:
    """The time of ``facility``; ``None`` where it was not worked out, for want of its hours."""
    return workloads_for(user).filter(facility=facility).first()
