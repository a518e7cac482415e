"""What a facility has besides devices: people, skills, infrastructure, what is on the shelf."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from apps.catalogue.models import Consumable, Infrastructure, Skill
from apps.facilities.models import Facility
from apps.facilities.services import Kept, Said, change_row, change_site
from apps.inventory.models import ConsumableHeld, Holding, InfrastructureHeld, SkillHeld, StaffHeld
from apps.inventory.rules import yearly_testing_hours


@transaction.atomic
def count_staff(
    *,
    facility: Facility,
    cadre: str,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    by: Any,
) -> Kept:
    """How many of ``cadre`` there are, and the hours a week each can give to testing.

    Raises as ``facilities.services.change_row``, as all here do.
    """
    row = _row(StaffHeld, facility, cadre=cadre)
    return change_row(
        row=row, facility=facility, changes=changes, seen=seen, said=said,
        action="staff.counted", by=by,
    )  # fmt: skip


@transaction.atomic
def count_skill(
    *,
    facility: Facility,
    skill: Skill,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    by: Any,
) -> Kept:
    """How many hold ``skill``, and when they were last trained and supervised."""
    row = _row(SkillHeld, facility, skill=skill)
    return change_row(
        row=row, facility=facility, changes=changes, seen=seen, said=said,
        action="skill.counted", by=by,
    )  # fmt: skip


@transaction.atomic
def state_infrastructure(
    *,
    facility: Facility,
    infrastructure: Infrastructure,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    by: Any,
) -> Kept:
    """Whether ``infrastructure`` is there."""
    row = _row(InfrastructureHeld, facility, infrastructure=infrastructure)
    return change_row(
        row=row, facility=facility, changes=changes, seen=seen, said=said,
        action="infrastructure.stated", by=by,
    )  # fmt: skip


@transaction.atomic
def count_stock(
    *,
    facility: Facility,
    consumable: Consumable,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    by: Any,
) -> Kept:
    """For how many days what is on the shelf of ``consumable`` lasts."""
    row = _row(ConsumableHeld, facility, consumable=consumable)
    return change_row(
        row=row, facility=facility, changes=changes, seen=seen, said=said,
        action="stock.counted", by=by,
    )  # fmt: skip


@transaction.atomic
def adopt_testing_hours(*, site: Facility, said: Said, by: Any) -> Kept | None:
    """Make the hours that follow from the staff counted the stated ones; ``None``: not known.

    They are never put in place of a stated figure by themselves.
    """
    hours = yearly_testing_hours(StaffHeld.objects.filter(facility=site))
    if hours is None:
        return None
    changes = {"testing_hours_per_year": round(hours)}
    return change_site(site=site, changes=changes, seen=None, said=said, by=by)


def _row(model: type[Holding], facility: Facility, **key: Any) -> Holding:
    """The row that is there, or a new one of which nothing is known."""
    found = model.objects.filter(facility=facility, **key).first()
    return found or model(facility=facility, **key)
