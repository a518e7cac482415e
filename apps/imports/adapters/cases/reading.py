"""A planning case as rows of the register's tables. Its catalogue and its questions stay out."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from django.utils import timezone

from apps.demand.choices import DemandBasis
from apps.demand.models import Demand
from apps.facilities.choices import AreaKind
from apps.facilities.models import Area, Facility, ReferralRoute
from apps.imports.adapters.cases.units import units
from apps.imports.adapters.filling import filled
from apps.imports.adapters.json_files import text_of_json
from apps.imports.adapters.partial import with_columns
from apps.imports.adapters.placing import placed
from apps.imports.adapters.sources import RefusedFileError, Source, SourceRow, SourceSheet
from apps.imports.adapters.tables import TABLES
from apps.inventory.choices import Basis, Presence
from apps.inventory.models import InfrastructureHeld
from planner.engine.case import Case
from planner.engine.errors import InputError

SHOWN = 5
SITES = "facilities.csv"
Cells = dict[str, str]
NOT_TAKEN = (
    "The case's tests, methods, device models and limits were not taken over: they are the"
    " catalogue's and the plan's.",
    "Skills were not taken over: a case says that one is there, not how many people hold it.",
)


def read_case(name: str, content: bytes, how: Mapping[str, Any]) -> Source:
    """Areas, sites, infrastructure, devices, routes and demand of the planning case ``content``.

    ``how["area"]``: the area that the file is for; blocks that are new will lie in it. Rows are
    counted in the order of the case's lists, from 1. Raises ``RefusedFileError`` with the
    first mistakes where it is no sound case.
    """
    try:
        case = Case.read(content)
    except InputError as error:
        told = "; ".join(error.problems[:SHOWN])
        more = f"; and {error.count - SHOWN} more" if error.count > SHOWN else ""
        raise RefusedFileError(f"{name}: {told}{more}.", remedy=error.remedy) from error
    within = str(how["area"])
    own = _own_sites(case, within)
    stock = units(case.stock, own, f"From the planning case {case.title}"[:300])
    sites = [_site(each) for each in case.sites]
    sheets, notes = [], list(NOT_TAKEN)
    for file, rows in (
        ("areas.csv", _areas(case, within)),
        (SITES, filled(TABLES[SITES], list(sites[0]), sites, within)),
        ("routes.csv", _routes(case, notes)),
        ("equipment.csv", stock.new),
        ("infrastructure_held.csv", _infrastructure(case)),
        ("demand.csv", _demand(case, own, notes)),
    ):
        if rows:
            sheets.append(_sheet(file, rows, notes))
    if stock.surplus:
        notes.append(f"In the register and not in the case, left as they are:"
                     f" {_some(stock.surplus)}.")  # fmt: skip
    return Source(tuple(sheets), notes=tuple(notes))


def _own_sites(case: Case, within: str) -> frozenset[str]:
    """Sites of the case that lie in the area the file is for: of others nothing is told."""
    path = Area.objects.filter(code=within).values_list("path", flat=True).first()
    there = Facility.objects.within(path) if path else Facility.objects.none()
    return frozenset(
        there.filter(code__in=[site.code for site in case.sites]).values_list("code", flat=True)
    )


def _sheet(file: str, rows: Sequence[Mapping[str, str]], notes: list[str]) -> SourceSheet:
    table = TABLES[file]
    columns = [name for name in table.sheet.columns if name in rows[0]]
    read = [SourceRow(line, cells) for line, cells in enumerate(rows, 1)]
    if file == SITES:
        read, odd = placed(read, {name: name for name in columns})
        notes += odd
    headings = {name: name for name in columns}
    return SourceSheet(with_columns(table, columns), table.title, headings, read, len(read))


def _areas(case: Case, above: str) -> list[Cells]:
    """The areas of the case; one that is new is a block of the area that the file is for."""
    there = set(Area.objects.values_list("code", flat=True))
    new = {"kind": str(AreaKind.BLOCK), "parent": above, "currency": case.currency}
    rows = [
        {"code": area.code, "name": area.name} | ({} if area.code in there else new)
        for area in case.areas
    ]
    return filled(TABLES["areas.csv"], ("code", "name", *new), rows, above)


def _site(site: Any) -> Cells:
    said = {
        "code": site.code,
        "name": site.name,
        "area": site.area,
        "level": site.level,
        "latitude": site.latitude,
        "longitude": site.longitude,
        "population": site.population,
        "testing_hours_per_year": site.staff_hours,
    }
    return {column: text_of_json(value) for column, value in said.items()}


def _routes(case: Case, notes: list[str]) -> list[Cells]:
    """Hours of a route whose courier days are known follow from these, and stay out."""
    derived = set(
        ReferralRoute.objects.exclude(collection_weekdays="").values_list(
            "origin__code", "destination__code"
        )
    )
    kept = [link for link in case.links if (link.origin, link.to) not in derived]
    if left := len(case.links) - len(kept):
        notes.append(f"{left} routes whose courier days are known were left as they are: their"
                     " hours follow from the days.")  # fmt: skip
    return [
        {
            "origin": link.origin,
            "destination": link.to,
            "hours": text_of_json(link.hours),
            "cost_per_specimen": f"{link.cost:.4f}".rstrip("0").rstrip("."),
        }
        for link in kept
    ]


def _infrastructure(case: Case) -> list[Cells]:
    """What the case has at a site and the register does not have there yet."""
    there = set(
        InfrastructureHeld.objects.filter(presence=Presence.PRESENT).values_list(
            "facility__code", "infrastructure__code"
        )
    )
    return [
        {"facility": site.code, "infrastructure": code, "presence": str(Presence.PRESENT),
         "basis": str(Basis.IMPORTED)}
        for site in case.sites
        for code in site.infrastructure
        if (site.code, code) not in there
    ]  # fmt: skip


def _demand(case: Case, own: Collection[str], notes: list[str]) -> list[Cells]:
    """Figures that differ from those adopted; which year a case is of it does not say."""
    adopted = {
        (site, test): per_year
        for site, test, per_year in Demand.objects.values_list(
            "facility__code", "test__code", "tests_per_year"
        )
    }
    said = {
        (site.code, test): amount for site in case.sites for test, amount in site.demand.items()
    }
    absent = [f"{test} at {site}" for site, test in adopted
              if site in own and (site, test) not in said]  # fmt: skip
    if absent:
        notes.append(f"Demand that the case does not have was left as it is: {_some(absent)}.")
    year = str(timezone.now().year)
    return [
        {"facility": site, "test": test, "tests_per_year": text_of_json(amount),
         "basis": str(DemandBasis.IMPORTED), "year": year}
        for (site, test), amount in said.items()
        if adopted.get((site, test)) != amount
    ]  # fmt: skip


def _some(texts: Iterable[str]) -> str:
    listed = list(texts)
    more = f" and {len(listed) - SHOWN} more" if len(listed) > SHOWN else ""
    return ", ".join(listed[:SHOWN]) + more
