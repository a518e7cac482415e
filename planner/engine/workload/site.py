"""The workload of one site in single figures, as a page shows it."""

from dataclasses import dataclass
from typing import Literal

from planner.engine.capacity import Band

STAFF = "staff"


@dataclass(frozen=True, slots=True)
class Resource:
    """Hours a year that are needed of a resource, and that it has.

    ``kind`` staff, or machine with the code of a device class in ``code``. ``units`` are
    the working units that could do the work, ``broken_units`` those that could after repair.
    A unit that serves several classes counts in each of them.
    """

    kind: Literal["staff", "machine"]
    code: str
    needed_hours: float
    available_hours: float
    used_share: float
    band: Band
    units: float
    broken_units: float


@dataclass(frozen=True, slots=True)
class Binding:
    """What runs out first: staff, or the machines of the classes in ``codes``.

    ``share`` of what is asked for can be done before it does; from 1 on it suffices.
    ``short_hours``: what would have to be added for all of it, 0 where it suffices.
    """

    kind: Literal["staff", "machine"]
    codes: tuple[str, ...]
    share: float
    short_hours: float

    @property
    def suffices(self) -> bool:
        return self.share >= 1


@dataclass(frozen=True, slots=True)
class AskedTest:
    """Tests a year of one method asked of the site, and those that there is time for."""

    test: str
    method: str
    asked: float
    doable: float
    staff_hours: float


@dataclass(frozen=True, slots=True)
class SiteWorkload:
    """Everything about the time of one site; codes throughout, tests and hours a year.

    ``asked`` is what it is equipped for: ``own`` and ``from_others``. ``doable`` is how much
    of that there is time for if every test that needs what is short is cut by the same
    share. ``binding`` is ``None`` where nothing that takes time is asked for.
    """

    site: str
    asked: float
    own: float
    from_others: float
    sent_away: float
    undone: float
    doable: float
    staff: Resource
    machines: tuple[Resource, ...]
    binding: Binding | None
    tests: tuple[AskedTest, ...]
