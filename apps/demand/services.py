from collections.abc import Mapping, Sequence, Set
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.catalogue.models import LabTest
from apps.demand.models import Demand
from apps.demand.selectors import (
    ADOPTED,
    RESTORED,
    Adoption,
    Cell,
    Estimate,
    Row,
    adoption_of,
    adoption_to_take_back,
    as_rows,
    as_text,
)
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import facilities_for

BATCH = 1000


def adopt(
    *,
    district: Area,
    estimates: Sequence[Estimate],
    by: User | None,
    seen: str,
    basis: str = "",
    why: str = "",
) -> Adoption:
    """Make a figure of each of ``estimates`` the demand that cases use.

    The figure by ``basis``, or else the one to go by. ``seen``: the digest of the adoption
    that somebody looked at and confirmed. One entry in the history holds every row before
    and after, so that ``restore`` can take it back.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` where nothing would
    change or the figures are no longer those that were seen.
    """
    require(by, "demand.adopt")
    with transaction.atomic():
        adoption = adoption_of(estimates, basis)
        if not adoption.rows:
            raise ValidationError("Nothing would change: these figures are adopted already.")
        if adoption.digest != seen:
            raise ValidationError(
                "The figures have changed since you looked at them. Look again, then confirm."
            )
        after = {key: row for key, (_, row) in adoption.rows.items()}
        before = _write(district, after)
        record(
            ADOPTED,
            by=by,
            obj=district,
            before={"rows": as_text(before)},
            after={"area": district.code, "digest": adoption.digest, "rows": as_text(after)},
            why=why,
        )
    return adoption


def restore(*, district: Area, by: User | None, why: str = "") -> int:
    """Take back the latest adoption in ``district``; says how many rows are as before it.

    Rows that were changed after it stay as they are.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` where there is
    nothing to take back, or where it concerns facilities that ``by`` may not see.
    """
    require(by, "demand.adopt")
    with transaction.atomic():
        entry = adoption_to_take_back(district)
        if entry is None:
            raise ValidationError("No adoption of estimates is left to take back here.")
        after, before = as_rows(entry.after["rows"]), as_rows(entry.before["rows"])
        _refuse_beyond(by, {facility for facility, _ in after})
        standing = _standing(district, after)
        untouched = {key: before[key] for key, row in after.items() if standing.get(key) == row}
        written = _write(district, untouched)
        record(
            RESTORED,
            by=by,
            obj=district,
            before={"rows": as_text(written)},
            after={"area": district.code, "entry": entry.pk, "rows": as_text(untouched)},
            why=why,
        )
    return len(untouched)


def _refuse_beyond(user: User | None, codes: Set[str]) -> None:
    seen = facilities_for(user).values_list("code", flat=True) if user else codes
    if codes - set(seen):
        raise ValidationError(
            "The latest adoption concerns sites outside your areas. Ask whoever adopted it."
        )


def _write(district: Area, rows: Mapping[Cell, Row | None]) -> dict[Cell, Row | None]:
    """Make each cell hold its row, or none; returns what stood there."""
    before = _standing(district, rows)
    facilities = dict(Facility.objects.within(district.path).values_list("code", "pk"))
    tests = dict(LabTest.objects.values_list("code", "pk"))
    Demand.objects.bulk_create(
        (
            Demand(
                facility_id=facilities[facility],
                test_id=tests[test],
                tests_per_year=row[0],
                basis=row[1],
                year=row[2],
            )
            for (facility, test), row in rows.items()
            if row is not None
        ),
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=["facility", "test"],
        update_fields=["tests_per_year", "basis", "year"],
    )
    _remove(district, {key for key, row in rows.items() if row is None})
    return {key: before.get(key) for key in rows}


def _remove(district: Area, cells: Set[Cell]) -> None:
    rows = Demand.objects.within(district.path).values_list("pk", "facility__code", "test__code")
    gone = [pk for pk, facility, test in rows if (facility, test) in cells] if cells else []
    Demand.objects.filter(pk__in=gone).delete()


def _standing(district: Area, rows: Mapping[Cell, Any]) -> dict[Cell, Row | None]:
    """What is adopted in the cells of ``rows``, locked until the transaction ends."""
    found = Demand.objects.within(district.path).select_for_update(of=("self",))
    return {
        (facility, test): (per_year, basis, year)
        for facility, test, per_year, basis, year in found.values_list(
            "facility__code", "test__code", "tests_per_year", "basis", "year"
        )
        if (facility, test) in rows
    }
