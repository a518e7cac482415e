"""Which reader reads which kind of file. A reader gives rows of text; all else is the same."""

from apps.imports.adapters.bundles import read_fhir
from apps.imports.adapters.cases import read_case
from apps.imports.adapters.geojson_reading import read_geojson
from apps.imports.adapters.mapping import read_mapped
from apps.imports.adapters.sources import Reader
from apps.imports.adapters.table_reading import read_table
from apps.imports.adapters.workbook_reading import read_workbook
from apps.imports.choices import UploadKind

READERS: dict[str, Reader] = {
    UploadKind.WORKBOOK: read_workbook,
    UploadKind.TABLE: read_table,
    UploadKind.MAPPED: read_mapped,
    UploadKind.GEOJSON: read_geojson,
    UploadKind.FHIR: read_fhir,
    UploadKind.CASE: read_case,
}
