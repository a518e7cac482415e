"""Files into the register: folders that are loaded, and uploads that are looked at first."""

from apps.imports.services.changing import carry_out_upload, take_back_upload
from apps.imports.services.deciding import (
    apply_upload,
    cancel_upload,
    choose_from_upload,
    undo_upload,
)
from apps.imports.services.giving_out import keep_workbook, new_workbook_key
from apps.imports.services.loading import (
    Change,
    Loaded,
    LoadError,
    is_loaded,
    load_catalogue,
    load_register,
)
from apps.imports.services.mapping import keep_unmapped, map_file
from apps.imports.services.previewing import read_upload
from apps.imports.services.progress import beat_upload, mark_uploads_interrupted
from apps.imports.services.receiving import read_again, receive_upload
from apps.imports.services.recognising import (
    MappingQuestion,
    mapping_question,
    recognise,
    take_in,
)
from apps.imports.services.travel_times import (
    Preview,
    PreviewRow,
    load_travel_times,
    preview_travel_times,
)

__all__ = [
    "Change",
    "LoadError",
    "Loaded",
    "MappingQuestion",
    "Preview",
    "PreviewRow",
    "apply_upload",
    "beat_upload",
    "cancel_upload",
    "carry_out_upload",
    "choose_from_upload",
    "is_loaded",
    "keep_unmapped",
    "keep_workbook",
    "load_catalogue",
    "load_register",
    "load_travel_times",
    "map_file",
    "mapping_question",
    "mark_uploads_interrupted",
    "new_workbook_key",
    "preview_travel_times",
    "read_again",
    "read_upload",
    "receive_upload",
    "recognise",
    "take_back_upload",
    "take_in",
    "undo_upload",
]
