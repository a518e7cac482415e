"""Files on their way into the register, and the workbooks that they come back from."""

from apps.imports.models.columns import ColumnMapping, SiteIdentifier, UnmappedFile
from apps.imports.models.uploads import ProposalPiece, Upload, UploadContent
from apps.imports.models.workbooks import Workbook, WorkbookPiece

__all__ = [
    "ColumnMapping",
    "ProposalPiece",
    "SiteIdentifier",
    "UnmappedFile",
    "Upload",
    "UploadContent",
    "Workbook",
    "WorkbookPiece",
]
