"""Readings of a verification as a file that can be read in again."""

from apps.audit.exports import csv_text
from apps.inventory.choices import VerificationKind
from apps.inventory.models import Verification


def readings_csv(verification: Verification) -> str:
    """A line for each reading under the columns of its kind; yes and no as words."""
    kept = verification.readings
    rows = kept["rows"]
    if verification.kind == VerificationKind.YES_NO:
        rows = [["yes" if value else "no" for value in row] for row in rows]
    return csv_text(kept["columns"], rows)
