import datetime as dt
import gzip
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery

from apps.coverage.models import Assessment, Document, Finding
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import district_of, districts_for, facilities_for


def read_document(sha256: str) -> bytes:
    """The canonical JSON kept under ``sha256``; raises ``Document.DoesNotExist``."""
    return gzip.decompress(bytes(Document.objects.get(pk=sha256).content))


def latest_assessment(area: Area) -> Assessment | None:
    """The newest assessment of ``area``, if there is one; one query."""
    return Assessment.objects.filter(area=area).select_related("area", "made_by").first()


def assessment_on(area: Area, day: dt.date) -> Assessment | None:
    """The newest assessment of ``area`` that was made on ``day`` or before; one query."""
    made = Assessment.objects.filter(area=area, made_at__date__lte=day)
    return made.select_related("area", "made_by").first()


def findings_for(user: Any) -> QuerySet[Finding]:
    """Findings that ``user`` may see, of the latest assessment of each district; three queries."""
    newest = Assessment.objects.filter(area=OuterRef("pk")).values("pk")[:1]
    latest = districts_for(user).annotate(latest=Subquery(newest)).values("latest")
    return Finding.objects.filter(
        assessment__in=latest, facility__in=facilities_for(user).order_by()
    ).select_related("facility__area", "test__programme", "referred_to")


def findings_at(user: Any, facility: Facility) -> QuerySet[Finding]:
    """What ``facility`` can do about each test, by the latest assessment of its district.

    Nothing where ``user`` may not see the facility. A constant number of queries.
    """
    assessment = latest_assessment(district_of(facility.area))
    visible = facilities_for(user).filter(pk=facility.pk)
    return Finding.objects.filter(assessment=assessment, facility__in=visible).select_related(
        "facility__area", "test__programme", "referred_to"
    )


def findings_across(user: Any, district: Area, test_code: str) -> list[Finding]:
    """What each facility of ``district`` can do about one test, with all that a page needs.

    Of the latest assessment and of what ``user`` may see; empty where there is none. A
    constant number of queries.
    """
    found = findings_for(user).filter(assessment__area=district, test__code=test_code)
    return list(
        found.select_related("facility__area", "test__programme", "referred_to", "assessment")
    )


def tallies(assessment: Assessment) -> dict[int, dict[str, int]]:
    """How many tests are in each state at each facility, by the facility's key; one query."""
    counted: dict[int, dict[str, int]] = {}
    states = assessment.findings.order_by().values_list("facility", "state").annotate(Count("pk"))
    for facility, state, tests in states:
        counted.setdefault(facility, {})[state] = tests
    return counted
