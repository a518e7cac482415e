"""The question of the demo plan, from ``plan.csv``, ``plan_earmarks.csv``, ``plan_floors.csv``."""

from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings

from apps.imports.adapters.cells import CellError, value_of
from apps.imports.adapters.files import Problem, Record, records
from apps.imports.services import LoadError
from apps.plans.models import Earmark, Floor, Plan

COLUMNS = (
    "title", "capital", "recurrent", "trainer_days", "max_units", "minimum_evidence", "gap",
)  # fmt: skip


def read_question(folder: Path) -> dict[str, Any]:
    """What ``draft_plan`` asks for, but for the area and the person.

    Raises ``LoadError`` with every mistake of the files.
    """
    problems: list[Problem] = []
    [limits] = _read(folder / "plan.csv", COLUMNS, Plan, problems)[:1] or [{}]
    earmarks = _read(folder / "plan_earmarks.csv", ("programme", "amount"), Earmark, problems)
    floors = _read(folder / "plan_floors.csv", ("area", "share"), Floor, problems)
    if not limits and not problems:
        problems.append(Problem("plan.csv", 1, "there is no row below the heading. Add one."))
    if problems:
        raise LoadError(problems)
    return {
        **limits,
        "earmarks": {row["programme"]: row["amount"] for row in earmarks},
        "floors": {row["area"]: row["share"] for row in floors},
        "time_limit_s": settings.PLAN_SECONDS,
    }


def question_of(plan: Plan) -> dict[str, Any]:
    """The same of a plan that was drafted; equal where the question is the same."""
    earmarks: dict[str, Decimal] = dict(plan.earmarks.values_list("programme__code", "amount"))
    return {
        **{name: getattr(plan, name) for name in (*COLUMNS, "time_limit_s")},
        "earmarks": earmarks,
        "floors": dict(plan.floors.values_list("area__code", "share")),
    }


def _read(
    path: Path, columns: tuple[str, ...], model: type[Any], problems: list[Problem]
) -> list[dict[str, Any]]:
    if not path.exists():
        return []
    found, wrong = records(path, columns)
    problems += wrong
    return [_row(path, record, model, problems) for record in found]


def _row(path: Path, record: Record, model: type[Any], problems: list[Problem]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for name, text in record.cells.items():
        field = model._meta.get_field(name)
        try:
            values[name] = text if field.is_relation else value_of(field, text)
        except CellError as error:
            said = f'{name} is "{text}", expected {error}.'
            problems.append(Problem(path.name, record.line, said))
    return values
