"""Findings as a file."""

from typing import Any

from apps.audit.exports import csv_text
from apps.coverage.models import Assessment, Finding
from apps.coverage.selectors import findings_for, latest_assessment
from apps.facilities.models import Area

COLUMNS = (
    "facility", "facility_name", "area", "level", "test", "test_name", "programme", "state",
    "method", "referred_to", "fix", "fix_cost", "lacking", "questions",
)  # fmt: skip


def findings_csv(user: Any, district: Area) -> str:
    """The latest assessment of ``district`` as CSV: a line for each site and test.

    Only what ``user`` may see. Raises ``Assessment.DoesNotExist`` before the first one.
    """
    assessment = latest_assessment(district)
    if assessment is None:
        raise Assessment.DoesNotExist(f"Coverage of {district} has not been worked out yet.")
    findings = findings_for(user).filter(assessment=assessment)
    return csv_text(COLUMNS, (_line(finding) for finding in findings.iterator(chunk_size=2000)))


def _line(finding: Finding) -> tuple[Any, ...]:
    facility, test, detail = finding.facility, finding.test, finding.detail
    return (
        facility.code,
        facility.name,
        facility.area.code,
        facility.level,
        test.code,
        test.name,
        test.programme.code,
        finding.state,
        finding.method_code,
        finding.referred_to.code if finding.referred_to else None,
        "; ".join(f"{action['kind']} {action['name']}" for action in detail.get("fix", [])),
        finding.fix_cost,
        "; ".join(
            f"{method['name']}: {', '.join(lack['what'] for lack in method['missing'])}"
            for method in detail.get("methods", [])
            if method["missing"]
        ),
        "; ".join(detail.get("questions", [])),
    )
