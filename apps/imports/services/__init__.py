"""Loading folders of CSV files: all rows or none, and every mistake at once."""

from apps.imports.services.loading import (
    Change,
    Loaded,
    LoadError,
    is_loaded,
    load_catalogue,
    load_register,
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
    "Preview",
    "PreviewRow",
    "is_loaded",
    "load_catalogue",
    "load_register",
    "load_travel_times",
    "preview_travel_times",
]
