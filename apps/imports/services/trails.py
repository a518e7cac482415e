"""What the history is told of an upload."""

import hashlib
from typing import Any

from apps.imports.adapters.edits import Edit

MOST_IN_ENTRY = 2000
"""Rows whose values stand in the history entry; of more, the upload keeps them, and the entry
their digest."""


class Trail:
    """What is told of in the history: the rows themselves, or, of many, their digest."""

    def __init__(self) -> None:
        self.rows = 0
        self.before: dict[str, dict[str, Any]] = {}
        self.after: dict[str, dict[str, Any]] = {}
        self._digest = hashlib.sha256()

    def add(self, file: str, edits: list[Edit]) -> None:
        self.rows += len(edits)
        for edit in edits:
            self._digest.update(edit.told().encode())
        if self.rows <= MOST_IN_ENTRY:
            for edit in edits:
                self.before.setdefault(file, {})[edit.called] = edit.side(0)
                self.after.setdefault(file, {})[edit.called] = edit.side(1)
        else:
            self.before = self.after = {}

    @property
    def digest(self) -> str:
        return self._digest.hexdigest()
