"""The register and the catalogue as files that can be read in again."""

from apps.imports.exports.bundles import register_bundle
from apps.imports.exports.geojson import places_geojson
from apps.imports.exports.tables import CATALOGUE, REGISTER, table_csv
from apps.imports.exports.workbooks import survey_workbook, tables_xlsx

__all__ = [
    "CATALOGUE",
    "REGISTER",
    "places_geojson",
    "register_bundle",
    "survey_workbook",
    "table_csv",
    "tables_xlsx",
]
