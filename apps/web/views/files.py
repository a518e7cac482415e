"""Files to be kept rather than shown."""

from django.http import HttpResponse

CSV = "text/csv; charset=utf-8"
JSON = "application/json"
GEOJSON = "application/geo+json"
FHIR = "application/fhir+json"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def attachment(content: bytes | str, name: str, media_type: str) -> HttpResponse:
    """``content`` as a download called ``name``."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(content, content_type=media_type, headers=headers)
