import gzip
import hashlib
from typing import Any

import rfc8785
from django.conf import settings
from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.catalogue.models import CatalogueVersion, LabTest, Method
from apps.catalogue.services import publish_version
from apps.coverage.adapters import (
    CellChange,
    Frozen,
    SecondLook,
    cell_changes,
    findings,
    freeze_as_it_stands,
    planning_lists,
    under,
)
from apps.coverage.adapters.workloads import workloads
from apps.coverage.choices import State
from apps.coverage.models import Assessment, Document, Finding, SiteWorkload
from apps.facilities.models import Area, Facility

BATCH = 2000


def keep_document(values: dict[str, Any]) -> Document:
    """Keep plain JSON ``values`` under the digest of their canonical form (RFC 8785).

    The same values are kept once, whoever keeps them.
    """
    text = rfc8785.dumps(values)
    sha256 = hashlib.sha256(text).hexdigest()
    # Without the time of packing the same JSON gives the same bytes.
    content = gzip.compress(text, mtime=0)
    document, _ = Document.objects.get_or_create(pk=sha256, defaults={"content": content})
    return document


def refresh_coverage(*, area: Area, by: User | None) -> Assessment:
    """Work out anew what every site of the district ``area`` can do and has the time for.

    Reads, then computes, then writes: no transaction is open while the engine works. Sites
    that had to be left out of the case are unknown for every test, with what to ask.

    Raises ``PermissionDenied`` where ``by`` may not, ``EngineError`` where the register does
    not suffice for a case.
    """
    require(by, "coverage.refresh")
    frozen = freeze_as_it_stands(area)
    facilities = dict(Facility.objects.within(area.path).values_list("code", "pk"))
    look = SecondLook.at(frozen.case, frozen.unknowns)
    rows = _findings(frozen, look, facilities)
    timed = list(workloads(look.known))
    with transaction.atomic():
        assessment = Assessment.objects.create(
            area=area,
            case=keep_document(frozen.case.to_json()),
            made_by=by,
            engine_version=settings.VERSION,
        )
        for row in rows:
            row.assessment = assessment
        Finding.objects.bulk_create(rows, batch_size=BATCH)
        SiteWorkload.objects.bulk_create(
            (
                SiteWorkload(
                    assessment=assessment, facility_id=facilities[each.site], **each.values
                )
                for each in timed
            ),
            batch_size=BATCH,
        )
        record(
            "coverage.refreshed",
            by=by,
            obj=area,
            after={
                "case": assessment.case_id,
                "findings": len(rows),
                "left_out": [left.facility_code for left in frozen.left_out],
                "routes_left_out": [
                    f"{left.facility_code}: {left.why}" for left in frozen.routes_left_out
                ],
            },
        )
    return assessment


def publish_catalogue(*, title: str, by: User | None) -> CatalogueVersion:
    """Publish the catalogue as it stands, with the lists of a planning case that it gives.

    Raises ``PermissionDenied`` where ``by`` may not, ``NothingNewError`` where nothing changed.
    """
    return publish_version(title=title, planning=planning_lists(), by=by)


def site_changes(
    area: Area, *, before: dict[str, Any] | None, after: dict[str, Any] | None
) -> tuple[CellChange, ...]:
    """Sites and tests of the district ``area`` whose state another catalogue changes.

    ``before`` and ``after``: ``planning`` of a version, or ``None`` for the catalogue as it
    stands. Reads only. Raises ``EngineError`` where the register does not suffice.
    """
    case = freeze_as_it_stands(area).case
    old, new = (case if lists is None else under(case, lists) for lists in (before, after))
    return cell_changes(old, new)


def _findings(frozen: Frozen, look: SecondLook, facilities: dict[str, int]) -> list[Finding]:
    tests = dict(LabTest.objects.values_list("code", "pk"))
    rows = [
        Finding(
            facility_id=facilities[found.site],
            test_id=tests[found.test],
            state=found.state.value,
            method_code=found.method,
            referred_to_id=facilities[found.referred_to] if found.referred_to else None,
            fix_cost=found.fix_cost,
            detail=found.detail,
        )
        for found in findings(look, dict(Method.objects.values_list("code", "name")))
    ]
    return rows + [
        Finding(
            facility_id=facilities[left.facility_code],
            test_id=test,
            state=State.UNKNOWN,
            detail={"methods": [], "fix": [], "questions": [left.why]},
        )
        for left in frozen.left_out
        for test in tests.values()
    ]
