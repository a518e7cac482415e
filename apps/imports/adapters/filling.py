"""What a file does not say of a row, from what the register says: so that it stays as it is."""

from collections.abc import Mapping, Sequence

from django.db.models import ForeignKey, Model, QuerySet

from apps.facilities.models import Area, Facility
from apps.imports.adapters.json_files import text_of_json
from apps.imports.adapters.kept import keep
from apps.imports.adapters.known import Known
from apps.imports.adapters.tables import RegisterTable


def filled(
    table: RegisterTable,
    columns: Sequence[str],
    rows: Sequence[Mapping[str, str]],
    within: str,
) -> list[dict[str, str]]:
    """``rows`` with a text for each of ``columns``, also where a row does not say it.

    Only what the register has in the area ``within`` is looked up: nothing is learned of others.

    Rows are known by their code; one that the register lacks gets what the model has for
    rows of which no more is said, which for most columns is nothing.
    """
    known = Known()
    model = table.sheet.model
    names = ["code", *(name for name in columns if name != "code")]
    stored = {
        values[0]: dict(zip(names, values, strict=True))
        for values in _inside(model, within)
        .filter(code__in=[row["code"] for row in rows])
        .order_by()
        .values_list(*(_attribute(table, name) for name in names))
    }
    fields = {name: table.fields[name] for name in columns}
    unsaid = {name: each.get_default() if each.has_default() else None
              for name, each in fields.items()}  # fmt: skip
    found = []
    for row in rows:
        before = stored.get(row["code"], unsaid)
        texts = {
            name: text_of_json(keep(table.fields[name], before[name], known))
            for name in columns
            if name not in row
        }
        found.append({**texts, **row})
    return found


def _inside(model: type[Model], within: str) -> QuerySet:
    path = Area.objects.filter(code=within).values_list("path", flat=True).first()
    below = {Area: "path", Facility: "area__path"}.get(model, "facility__area__path")
    rows = model._default_manager
    return rows.filter(**{f"{below}__startswith": path}) if path else rows.none()


def _attribute(table: RegisterTable, name: str) -> str:
    field = table.fields[name]
    return field.attname if isinstance(field, ForeignKey) else name
