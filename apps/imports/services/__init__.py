"""Loading folders of CSV files: all rows or none, and every mistake at once."""

from apps.imports.services.loading import (
    Change,
    Loaded,
    LoadError,
    is_loaded,
    load_catalogue,
    load_register,
)

__all__ = ["Change", "LoadError", "Loaded", "is_loaded", "load_catalogue", "load_register"]
