from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.catalogue.models import Programme
from apps.facilities.choices import AreaKind
from apps.facilities.models import Area
from apps.plans.models import Earmark, Floor, Plan
from apps.plans.services.asking import checked


@transaction.atomic
def draft_plan(
    *,
    title: str,
    area: Area,
    capital: Decimal,
    earmarks: Mapping[str, Decimal],
    recurrent: Decimal | None,
    trainer_days: float | None,
    max_units: int,
    minimum_evidence: str,
    floors: Mapping[str, float],
    gap: float,
    time_limit_s: int,
    by: User,
    asked: Mapping[str, Any] | None = None,
) -> Plan:
    """Write down what a district wants to know; nothing is computed before a run is started.

    ``earmarks``: code of a programme to the amount on top of ``capital``; ``floors``: code
    of an area of the district to a share from 0 to 1. ``None`` for ``recurrent`` and
    ``trainer_days`` is no limit. ``asked`` is what is asked beyond the most tests, by the keys
    of ``adapters.Asked``.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` by field otherwise.
    """
    require(by, "plan.draft")
    if area.kind != AreaKind.DISTRICT:
        raise ValidationError({"area": f"{area.name} is not a district. Plan for its district."})
    programmes = _named("earmarks", earmarks, Programme.objects.all())
    areas = _named("floors", floors, _areas_of(area))
    more = checked(asked or {}, area, _areas_of(area).values_list("code", flat=True)).to_json()
    question = {
        "title": title,
        "capital": capital,
        "recurrent": recurrent,
        "trainer_days": trainer_days,
        "max_units": max_units,
        "minimum_evidence": minimum_evidence,
        "gap": gap,
        "time_limit_s": time_limit_s,
    }
    plan = Plan(area=area, made_by=by, asked=more, **question)
    plan.full_clean()
    plan.save()
    for code, amount in earmarks.items():
        _keep("earmarks", code, Earmark(plan=plan, programme=programmes[code], amount=amount))
    for code, share in floors.items():
        _keep("floors", code, Floor(plan=plan, area=areas[code], share=share))
    limits = {"area": area.code, "earmarks": dict(earmarks), "floors": dict(floors)}
    said = {**question, **limits, **({"asked": more} if more else {})}
    record("plan.drafted", by=by, obj=plan, after=said)
    return plan


def _areas_of(district: Area) -> Any:
    """Where a floor can be asked for: the areas that the case of ``district`` will have."""
    within = Area.objects.within(district.path)
    blocks = within.filter(kind=AreaKind.BLOCK)
    if district.facilities.open().exists():
        blocks |= within.filter(pk=district.pk)
    return blocks


def _named(field: str, given: Mapping[str, Any], rows: Any) -> dict[str, Any]:
    """The rows by code; refuses codes that name none of them, all at once."""
    found = {row.code: row for row in rows.filter(code__in=given)}
    if unknown := sorted(set(given) - set(found)):
        known = ", ".join(rows.values_list("code", flat=True)) or "none"
        raise ValidationError(
            {field: f"There is no {', '.join(unknown)} to choose here. There are: {known}."}
        )
    return found


def _keep(field: str, code: str, row: Earmark | Floor) -> None:
    try:
        row.full_clean()
    except ValidationError as error:
        raise ValidationError({field: f"{code}: {' '.join(error.messages)}"}) from error
    row.save()
