"""The facilities of a district and what they hold, as lists of a planning case."""

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from apps.catalogue.models import Infrastructure, Skill
from apps.coverage.adapters.unknowns import Unknowns
from apps.coverage.adapters.verified import Items
from apps.demand.models import Demand
from apps.facilities.choices import AreaKind
from apps.facilities.models import Area, Facility
from apps.inventory.choices import REPAIRABLE, WORKING, Condition, Presence
from apps.inventory.models import EquipmentItem, InfrastructureHeld, SkillHeld
from apps.inventory.rules import is_lapsed
from planner.engine import case

SITE_FACTS = (
    "code", "name", "area__code", "level", "latitude", "longitude", "population",
    "testing_hours_per_year",
)  # fmt: skip


@dataclass(frozen=True)
class LeftOut:
    """A facility, or one of its routes, that is not in the case, and what would change that."""

    facility_code: str
    why: str


@dataclass(frozen=True)
class Known:
    """What the register says of some kind of holding: what is there, and what is not known."""

    held: Mapping[str, tuple[str, ...]]
    unknown: frozenset[tuple[str, str]]


def areas(district: Area, floors: Mapping[str, float]) -> tuple[case.Area, ...]:
    """The blocks of ``district``, and itself where facilities hang on it directly."""
    below = Area.objects.within(district.path)
    rows = list(below.filter(kind=AreaKind.BLOCK).values_list("code", "name"))
    if district.facilities.open().exists():
        rows.append((district.code, district.name))
    return tuple(
        case.Area(code=code, name=name, floor=float(floors.get(code, 0)))
        for code, name in sorted(rows)
    )


def facts(district: Area) -> tuple[list[dict[str, Any]], tuple[LeftOut, ...]]:
    """The open facilities whose numbers are known, and those that are left out for want of them."""
    complete, left_out = [], []
    rows = Facility.objects.within(district.path).open().order_by("code").values(*SITE_FACTS)
    for row in rows:
        if row["population"] is None:
            why = f"Ask how many people live in the catchment of {row['name']}"
        elif row["testing_hours_per_year"] is None:
            why = f"Ask how many staff hours a year {row['name']} can give to testing"
        else:
            complete.append(row)
            continue
        left_out.append(LeftOut(row["code"], why))
    return complete, tuple(left_out)


def sites(
    rows: Iterable[dict[str, Any]],
    demand: Mapping[str, dict[str, float]],
    skills: Known,
    infrastructure: Known,
) -> tuple[case.Site, ...]:
    return tuple(
        case.Site(
            code=row["code"],
            name=row["name"],
            area=row["area__code"],
            level=row["level"],
            latitude=row["latitude"],
            longitude=row["longitude"],
            population=float(row["population"]),
            staff_hours=float(row["testing_hours_per_year"]),
            skills=skills.held.get(row["code"], ()),
            infrastructure=infrastructure.held.get(row["code"], ()),
            demand=demand.get(row["code"], {}),
        )
        for row in rows
    )


def demand_by_site(district: Area) -> dict[str, dict[str, float]]:
    """Facility to test to tests a year; a demand of 0 says the same as none and is left out."""
    found: defaultdict[str, dict[str, float]] = defaultdict(dict)
    rows = Demand.objects.within(district.path).filter(tests_per_year__gt=0)
    for site, test, per_year in rows.order_by("test__code").values_list(
        "facility__code", "test__code", "tests_per_year"
    ):
        found[site][test] = per_year
    return dict(found)


def skills_known(district: Area, site_codes: Iterable[str], today: dt.date) -> Known:
    """A skill is held where somebody is counted, not held where nobody is, else unknown.

    One that has lapsed is unknown: somebody learnt it, and nobody knows whether it is still
    there. It lapses only where the catalogue says after how long and the day of training is
    known.
    """
    rows = SkillHeld.objects.within(district.path).values_list(
        "facility__code",
        "skill__code",
        "staff_count",
        "last_trained_on",
        "skill__lapses_after_months",
    )
    return _known(
        {
            (site, skill): count > 0
            for site, skill, count, trained_on, months in rows
            if not (count and is_lapsed(trained_on, months, today))
        },
        site_codes,
        Skill.objects.values_list("code", flat=True),
    )


def infrastructure_known(district: Area, site_codes: Iterable[str]) -> Known:
    """Present, absent, or unknown: said to be so, or not said at all."""
    rows = InfrastructureHeld.objects.within(district.path).exclude(presence=Presence.UNKNOWN)
    return _known(
        {
            (site, item): presence == Presence.PRESENT
            for site, item, presence in rows.values_list(
                "facility__code", "infrastructure__code", "presence"
            )
        },
        site_codes,
        Infrastructure.objects.values_list("code", flat=True),
    )


def stock(
    district: Area, site_codes: frozenset[str], items: Items
) -> tuple[tuple[case.Stock, ...], frozenset[tuple[str, str]]]:
    """Units by site and model, and the (site, model) of units whose condition is unknown.

    A working item that was verified counts under a model of its own; one that failed for
    good counts as broken.
    """
    working: Counter[tuple[str, str]] = Counter()
    broken: Counter[tuple[str, str]] = Counter()
    unknown = set()
    for item, site, model, condition in EquipmentItem.objects.within(district.path).values_list(
        "code", "facility__code", "device_model__code", "condition"
    ):
        if site not in site_codes:
            continue
        if condition in WORKING and item not in items.unfit:
            own = items.models.get(item)
            working[site, own.code if own else model] += 1
        elif condition in WORKING or condition in REPAIRABLE:
            broken[site, model] += 1
        elif condition == Condition.UNKNOWN:
            unknown.add((site, model))
    entries = tuple(
        case.Stock(site=site, model=model, working=working[site, model], broken=broken[site, model])
        for site, model in sorted({*working, *broken})
    )
    return entries, frozenset(unknown)


def unknowns(skills: Known, infrastructure: Known, units: frozenset[tuple[str, str]]) -> Unknowns:
    return Unknowns(skills.unknown, infrastructure.unknown, units)


def _known(
    said: Mapping[tuple[str, str], bool], site_codes: Iterable[str], codes: Iterable[str]
) -> Known:
    """Every site against every code: held, not held, or not in ``said`` and so unknown."""
    every, held, unknown = sorted(codes), {}, set()
    for site in site_codes:
        held[site] = tuple(code for code in every if said.get((site, code)))
        unknown.update((site, code) for code in every if (site, code) not in said)
    return Known(held, frozenset(unknown))
