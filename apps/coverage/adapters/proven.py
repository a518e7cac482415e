"""What the verifications in force say of single devices."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from apps.catalogue.choices import Measure
from apps.facilities.models import Area
from apps.inventory.adapters import LimitSet
from apps.inventory.choices import ATTRIBUTES_OF, OF_RESULTS, Outcome, Standing
from apps.inventory.models import Verification
from apps.inventory.rules import latest_of_each, standing

IN_FORCE = frozenset({Standing.VALID, Standing.DUE, Standing.FAILED})
VARIATION = frozenset(ATTRIBUTES_OF[Measure.CV_PCT])
Subject = tuple[str, str]


@dataclass
class Proven:
    """What the verifications in force say of one item.

    ``accepted``: kind and code of the classes, methods and tests of which it keeps all limits
    of a rule. ``failed_analytes`` and ``is_unfit``: limits it broke that no measured value
    stands for, of one analyte or of the device.
    """

    model: str
    measured: dict[str, float] = field(default_factory=dict)
    accepted: frozenset[Subject] = frozenset()
    failed_analytes: set[str] = field(default_factory=set)
    is_unfit: bool = False


def proven_items(district: Area, on: dt.date) -> dict[str, Proven]:
    """Item code to what is proven of it on the day ``on``; one query."""
    rows = (
        Verification.objects.within(district.path)
        .standing()
        .select_related("item__device_model")
        .defer("readings", "note")
        .order_by("item__code", "done_on", "pk")
    )
    by_item: defaultdict[str, list[Verification]] = defaultdict(list)
    for row in rows:
        by_item[row.item.code].append(row)
    found = {}
    for code, verifications in by_item.items():
        latest = latest_of_each(verifications)
        in_force = [each for each in latest if standing(each, each.item, on) in IN_FORCE]
        if in_force:
            found[code] = _proven(in_force)
    return found


def _proven(in_force: Sequence[Verification]) -> Proven:
    facts = Proven(in_force[0].item.device_model.code)
    for each in in_force:
        for name, value in each.measured.items():
            # Of several analytes the most variable counts; else what was measured last.
            earlier = facts.measured.get(name, value) if name in VARIATION else value
            facts.measured[name] = max(value, earlier)
    failed = [each for each in in_force if each.outcome == Outcome.FAIL]
    for each in failed:
        _note_failure(each, facts)
    if not failed:
        facts.accepted = _accepted(in_force)
    return facts


def _note_failure(failed: Verification, facts: Proven) -> None:
    """What a failure takes away: nothing more where a measured value speaks for itself."""
    for check in failed.figures["checks"]:
        attributes = ATTRIBUTES_OF.get(check["measure"], ())
        if check["outcome"] != Outcome.FAIL or failed.measured.keys() & set(attributes):
            continue
        if check["analyte"]:
            facts.failed_analytes.add(check["analyte"])
        else:
            facts.is_unfit = True


def _accepted(passed: Iterable[Verification]) -> frozenset[Subject]:
    """Subjects of which every limit of a rule is kept, results against a reference among them.

    A device that keeps its speed has a measured speed, not yet results that are right.
    """
    of_results: set[tuple[str, Subject]] = set()
    kept: defaultdict[tuple[str, Subject], set[str]] = defaultdict(set)
    asked: dict[tuple[str, Subject], set[str]] = {}
    for each in passed:
        limits = LimitSet.of_kept(each.rule, each.subject, each.limits)
        key = each.rule, (limits.subject_kind, each.subject)
        kept[key] |= {limit["code"] for limit in limits.of(each.kind, each.analyte)}
        asked[key] = {limit["code"] for limit in limits.limits}
        if each.kind in OF_RESULTS:
            of_results.add(key)
    return frozenset(key[1] for key in of_results if asked[key] <= kept[key])
