"""One district of the register, frozen into a planning case."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import connection, transaction
from django.utils import timezone

from apps.catalogue.choices import Grade
from apps.coverage.adapters import catalogue, register
from apps.coverage.adapters.links import links_between
from apps.coverage.adapters.register import LeftOut
from apps.coverage.adapters.unknowns import Unknowns
from apps.coverage.adapters.verified import Items, verified_items
from apps.facilities.models import Area
from planner.engine.case import Case, DeviceModel, Limits, Stock
from planner.engine.errors import EngineError


@dataclass(frozen=True)
class Frozen:
    """A case, the facilities and routes left out of it, and the facts nobody knows.

    A case says of each fact yes or no. What is unknown stands in it as no, and here.
    """

    case: Case
    left_out: tuple[LeftOut, ...]
    routes_left_out: tuple[LeftOut, ...]
    unknowns: Unknowns


@contextmanager
def at_one_moment() -> Iterator[None]:
    """All queries see the register as it is at one moment, whoever changes it meanwhile.

    Inside a transaction that is already open, that transaction decides what is seen.
    """
    if connection.in_atomic_block:
        yield
        return
    with transaction.atomic():
        # SQLite's transactions are such by nature; PostgreSQL must be asked.
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield


@at_one_moment()
def freeze(
    area: Area,
    *,
    limits: Limits,
    minimum_evidence: str,
    floors: Mapping[str, float],
    title: str,
) -> Frozen:
    """The district ``area`` as a case, everything in it in order of code.

    ``floors``: code of an area to the share of its largest possible objective. Sites whose
    population or testing hours are unknown are left out and listed. A working item that was
    verified stands under a model of its own, as it counts today. A constant number of
    queries. Equal rows give an equal case, whatever order they were written in.

    Raises ``EngineError`` where no site is left.
    """
    rows, left_out = register.facts(area)
    if not rows:
        raise EngineError(
            f"No facility of {area.name} has both its population and its testing hours.",
            remedy="Enter them for at least one facility, then try again.",
        )
    site_codes = frozenset(row["code"] for row in rows)
    today = timezone.localdate()
    skills = register.skills_known(area, site_codes, today)
    infrastructure = register.infrastructure_known(area, site_codes)
    models, methods = catalogue.device_models(), catalogue.methods()
    items = verified_items(area, today, models, methods, minimum_evidence)
    stock, units = register.stock(area, site_codes, items)
    links, routes_left_out = links_between(area, site_codes)
    # Rows obey foreign keys and unique codes, so what Case.read checks holds already.
    case = Case(
        format="benchward-case",
        version=2,
        title=title,
        currency=area.currency,
        minimum_evidence=minimum_evidence,
        areas=register.areas(area, floors),
        programmes=catalogue.programmes(),
        skills=catalogue.skills(),
        infrastructure=catalogue.infrastructure(),
        device_models=_with_items(models, items, stock),
        tests=catalogue.tests(),
        methods=methods,
        sites=register.sites(rows, register.demand_by_site(area), skills, infrastructure),
        stock=stock,
        links=links,
        limits=limits,
    )
    return Frozen(case, left_out, routes_left_out, register.unknowns(skills, infrastructure, units))


def _with_items(
    models: tuple[DeviceModel, ...], items: Items, stock: tuple[Stock, ...]
) -> tuple[DeviceModel, ...]:
    """The catalogue's models, and those of verified items that are in ``stock``."""
    held = {entry.model for entry in stock}
    own = [model for model in items.models.values() if model.code in held]
    return tuple(sorted([*models, *own], key=lambda model: model.code))


def freeze_as_it_stands(area: Area) -> Frozen:
    """The district ``area`` with no money and no limits, as the question what it can do now.

    Raises ``EngineError`` where no facility has the numbers that a case needs.
    """
    return freeze(
        area,
        limits=Limits(capital=0.0, earmarks={}, recurrent=None, trainer_days=None, max_units=0),
        minimum_evidence=Grade.B.value,
        floors={},
        title=f"What {area.name} can do",
    )
