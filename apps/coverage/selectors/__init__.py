"""What the sites can do, as the latest assessments say."""

from apps.coverage.selectors.findings import (
    assessment_on,
    findings_across,
    findings_at,
    findings_for,
    latest_assessment,
    read_document,
    tallies,
)
from apps.coverage.selectors.grids import Grid, GridRow, grid
from apps.coverage.selectors.workloads import workload_at, workloads_for

__all__ = [
    "Grid",
    "GridRow",
    "assessment_on",
    "findings_across",
    "findings_at",
    "findings_for",
    "grid",
    "latest_assessment",
    "read_document",
    "tallies",
    "workload_at",
    "workloads_for",
]
