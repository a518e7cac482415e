from django.db import models


class UploadKind(models.TextChoices):
    """What a file is; each has a reader in ``adapters/readers.py``."""

    WORKBOOK = "workbook", "Survey workbook"
    TABLE = "table", "Table as CSV"
    MAPPED = "mapped", "Spreadsheet of one's own"
    GEOJSON = "geojson", "GeoJSON"
    FHIR = "fhir", "FHIR bundle"
    CASE = "case", "Planning case"


class UploadState(models.TextChoices):
    """Where an upload stands. The register is touched by ``APPLYING`` and ``UNDOING`` only."""

    WAITING = "waiting", "Waiting"
    READING = "reading", "Being read"
    PREVIEWED = "previewed", "To be looked at"
    APPLYING = "applying", "Being applied"
    APPLIED = "applied", "Applied"
    UNDOING = "undoing", "Being undone"
    UNDONE = "undone", "Undone"
    REFUSED = "refused", "Refused"
    CANCELLED = "cancelled", "Cancelled"
    INTERRUPTED = "interrupted", "Interrupted"


AT_WORK = (UploadState.READING, UploadState.APPLYING, UploadState.UNDOING)
UNFINISHED = (UploadState.WAITING, *AT_WORK)


class Verdict(models.TextChoices):
    """What a row of a file would do to the register; unchanged rows are only counted."""

    REFUSED = "refused", "Refused"
    CONFLICT = "conflict", "Changed by both"
    CHANGED = "changed", "Changed"
    NEW = "new", "New"
