"""What a file holds, said once: its columns, the rows it becomes, and how it names others."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.db.models import Field, Model

from apps.imports.adapters.known import Known

SOURCED = ("source", "source_kind", "dated_on")
Check = Callable[[Mapping[str, Any], Known], Iterator[str]]
# Rows with the lines they stand in, to lines with what is wrong there.
CheckAll = Callable[[Sequence[tuple[int, Mapping[str, Any]]], Known], Iterator[tuple[int, str]]]


@dataclass(frozen=True)
class Reference:
    """A row of another table, named by the texts of one or more columns.

    ``key`` makes of those texts, and of the references in ``rests_on``, the target's key in
    ``Known``; without it the texts themselves are the key.
    """

    columns: tuple[str, ...]
    rests_on: tuple[str, ...] = ()
    key: Callable[[tuple[str, ...], Mapping[str, Any], Known], tuple[str, ...]] | None = None


def _nothing(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    yield from ()


@dataclass(frozen=True)
class Sheet:
    """A file of a folder: each row is a row of ``model``, known by the fields in ``key``.

    A column is the field of its name; a foreign key stands there as the code of its target,
    several as codes parted by semicolons, unless ``references`` says otherwise. ``check``
    yields what is wrong with a row as a whole, ``check_all`` with all of them together once
    each is right. ``owner``: the file states in full what belongs to the owners it names, so
    other rows of theirs are removed. ``one_by_one``: rows refer to earlier rows of the same
    file, and saving one has consequences. ``optional``: columns that a file may be without; what
    they fill is then left as it is.
    """

    file: str
    model: type[Model]
    columns: tuple[str, ...]
    key: tuple[str, ...] = ("code",)
    references: Mapping[str, Reference] = field(default_factory=dict)
    check: Check = _nothing
    check_all: CheckAll | None = None
    owner: str | None = None
    one_by_one: bool = False
    optional: frozenset[str] = frozenset()

    @property
    def fields(self) -> list[Field]:
        """The model's fields that the file fills, references after what they may rest on."""
        spent = {column for each in self.references.values() for column in each.columns}
        names = [name for name in self.columns if name not in spent]
        plain = [self.model._meta.get_field(name) for name in names]
        return plain + [self.model._meta.get_field(name) for name in self.references]

    def as_in(self, header: Iterable[str]) -> "Sheet":
        """The sheet without the optional columns that ``header`` does not name."""
        absent = self.optional - frozenset(header)
        return replace(self, columns=tuple(name for name in self.columns if name not in absent))

    def reference(self, name: str) -> Reference:
        return self.references.get(name, Reference((name,)))
