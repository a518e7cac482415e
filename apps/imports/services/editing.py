"""Edits of rows in the register, each held against what the row says at that moment."""

from typing import Any

from apps.accounts.models import User
from apps.facilities.models import Area
from apps.imports.adapters.edits import Edit
from apps.imports.adapters.kept import keep, release, same
from apps.imports.adapters.rows import Values
from apps.imports.adapters.scoping import Scope
from apps.imports.adapters.stored import Key, single_fields, stored_rows
from apps.imports.adapters.tables import RegisterTable
from apps.imports.services.refusing import NOT_UNDONE, NotAsExpectedError
from apps.imports.services.removing import remove_added
from apps.imports.services.writing import Table

TOLD = 5
"""How many of the rows that stand in the way are named."""
# Of one row, and of several.
CHANGED = ("has been changed in the meantime", "have been changed in the meantime")
LOST = (
    "names another that is not there, or outside your areas",
    "name others that are not there, or outside your areas",
)
LOOK_AGAIN = "Read the file again to see what it would change now, then apply it."
LEFT_OUT = "Choose the row that it names too, or leave this one out."


class Register:
    """Where somebody's edits go: refuses what lies outside their areas and those of the upload."""

    def __init__(self, user: User, area: Area) -> None:
        self._scope = Scope(user, area)
        self._new: dict[type, list[str]] = {}

    def write(self, table: RegisterTable, edits: list[Edit]) -> None:
        """Make ``edits``. Raises ``NotAsExpectedError`` where the register has changed."""
        if not edits:
            return
        keyed = self._keyed(table, edits)
        stored = stored_rows(table.sheet, keyed)
        self._hold(table, keyed, stored, side=0, remedy=LOOK_AGAIN)
        rows = [
            self._edited(table, stored.get(key), edit.fields, side=1) for key, edit in keyed.items()
        ]
        self._in_scope(table, rows, [*stored.values()])
        Table(table.sheet, self._scope).save(rows)
        if table.sheet.key == ("code",):
            codes = [edit.key[0] for edit in edits if edit.is_new]
            self._new.setdefault(table.sheet.model, []).extend(codes)

    def take_back(self, table: RegisterTable, edits: list[Edit]) -> None:
        """Undo ``edits``. Raises ``NotAsExpectedError`` where any was followed by another."""
        if not edits:
            return
        keyed = self._keyed(table, edits)
        stored = stored_rows(table.sheet, keyed)
        self._hold(table, keyed, stored, side=1, remedy=NOT_UNDONE)
        self._in_scope(table, [], [*stored.values()])
        changed = {key: edit for key, edit in keyed.items() if not edit.is_new}
        Table(table.sheet, self._scope).save(
            [self._edited(table, stored[key], edit.fields, 0) for key, edit in changed.items()]
        )
        remove_added(table, [key for key, edit in keyed.items() if edit.is_new])

    def renew(self, table: RegisterTable) -> None:
        """All rows of ``table`` are written: those after them may name them."""
        self._scope.admit(table.sheet.model, self._new.pop(table.sheet.model, []))

    def _keyed(self, table: RegisterTable, edits: list[Edit]) -> dict[Key, Edit]:
        keyed, lost = {}, []
        for edit in edits:
            parts = zip(table.sheet.key, edit.key, strict=True)
            try:
                key = tuple(release(table.fields[name], part, self._scope) for name, part in parts)
            except KeyError:
                lost.append(edit)
            else:
                keyed[key] = edit
        self._refuse(table, lost, LOST, LEFT_OUT)
        return keyed

    def _hold(
        self,
        table: RegisterTable,
        keyed: dict[Key, Edit],
        stored: dict[Key, Values],
        side: int,
        remedy: str,
    ) -> None:
        """Stop unless the register says of each row what the edit has on that side."""
        off = [
            edit
            for key, edit in keyed.items()
            if not self._fits(table, edit, stored.get(key), side)
        ]
        self._refuse(table, off, CHANGED, remedy)

    def _fits(self, table: RegisterTable, edit: Edit, row: Values | None, side: int) -> bool:
        if row is None:
            return edit.is_new and side == 0
        if edit.is_new and side == 0:
            return False
        return all(
            same(keep(table.fields[name], row[name], self._scope), values[side])
            for name, values in edit.fields.items()
        )

    def _edited(self, table: RegisterTable, row: Values | None, fields: Any, side: int) -> Values:
        """The whole row after the edit; what a new row does not state is as the model says."""
        values = row or {each.name: each.get_default() for each in single_fields(table.sheet)}
        try:
            return values | {
                name: release(table.fields[name], sides[side], self._scope)
                for name, sides in fields.items()
            }
        except KeyError as gone:
            raise NotAsExpectedError(
                f"{table.title}: {_code(gone)} is not there, or outside your areas.",
                remedy=LEFT_OUT,
            ) from gone

    def _in_scope(self, table: RegisterTable, *groups: list[Values]) -> None:
        """Look once more: whoever applies may have other areas than whoever uploaded."""
        for row in (row for group in groups for row in group):
            if not self._scope.allows(table.places_of(row, self._scope)):
                raise NotAsExpectedError(
                    f"{table.title}: a row belongs to a place outside your areas.",
                    remedy="Leave it out, or ask somebody who answers for that place to apply it.",
                )

    def _refuse(
        self, table: RegisterTable, edits: list[Edit], reasons: tuple[str, str], remedy: str
    ) -> None:
        if edits:
            named = "; ".join(edit.called for edit in edits[:TOLD])
            more = f" and {len(edits) - TOLD} more" if len(edits) > TOLD else ""
            one, several = reasons
            said = f"1 row {one}" if len(edits) == 1 else f"{len(edits)} rows {several}"
            raise NotAsExpectedError(f"{table.title}: {said}: {named}{more}.", remedy=remedy)


def _code(missing: KeyError) -> str:
    """The code under which nothing was found; several parts of a key are joined."""
    [key] = missing.args
    return ", ".join(map(str, key)) if isinstance(key, tuple) else str(key)
