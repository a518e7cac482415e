"""Which cells of a workbook have formulas, by the names of its sheets."""

import io
import posixpath
import zipfile
from collections.abc import Mapping
from xml.etree import ElementTree

from apps.imports.adapters.extents import column_number

RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def formulas_by_sheet(
    content: bytes, found: Mapping[str, frozenset[tuple[str, int]]]
) -> dict[str, frozenset[tuple[int, int]]]:
    """Cells with formulas, column and row from 1, by the name of the sheet."""
    if not found:
        return {}
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        # Nothing here declares entities: ``look_into`` has refused such files.
        relations = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))  # noqa: S314
        book = ElementTree.fromstring(archive.read("xl/workbook.xml"))  # noqa: S314
    targets = {
        each.get("Id"): posixpath.normpath(posixpath.join("xl", each.get("Target", "")))
        for each in relations
    }
    members = {
        each.get("name", ""): targets.get(each.get(RELATION), "").removeprefix("/")
        for each in book.iter()
        if each.tag.endswith("}sheet")
    }
    return {
        name: frozenset((column_number(column), row) for column, row in found[member])
        for name, member in members.items()
        if member in found
    }
