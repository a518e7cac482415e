"""Staff and skills of a district, arranged for one page."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from apps.catalogue.choices import Cadre
from apps.inventory.rules import is_lapsed, wants_refresher, yearly_testing_hours

# Stated and counted hours that are further apart than this want a look.
FAR_APART = 0.2


@dataclass(frozen=True)
class StaffRow:
    """A site: count by cadre in the order of training, ``None`` where nobody was counted."""

    site: Any
    counts: tuple[int | None, ...]
    counted_hours: float | None

    @property
    def stated_hours(self) -> float | None:
        return self.site.testing_hours_per_year

    @property
    def is_far_apart(self) -> bool:
        if self.stated_hours is None or self.counted_hours is None:
            return False
        return abs(self.counted_hours - self.stated_hours) > FAR_APART * self.stated_hours

    @property
    def may_adopt(self) -> bool:
        return self.counted_hours is not None and round(self.counted_hours) != self.stated_hours


@dataclass(frozen=True)
class SkillRow:
    """A skill across the district: sites that have it, and those whose training is old."""

    skill: Any
    sites: int
    people: int
    lapsed: tuple[Any, ...]
    refreshers: tuple[Any, ...]


def staff_rows(sites: Iterable[Any], held: Iterable[Any]) -> list[StaffRow]:
    by_site: defaultdict[int, list[Any]] = defaultdict(list)
    for row in held:
        by_site[row.facility_id].append(row)
    return [_staff_row(site, by_site[site.pk]) for site in sites]


def _staff_row(site: Any, rows: list[Any]) -> StaffRow:
    counts = {row.cadre: row.staff_count for row in rows}
    return StaffRow(
        site, tuple(counts.get(cadre) for cadre in Cadre.values), yearly_testing_hours(rows)
    )


def skill_rows(held: Iterable[Any], today: dt.date) -> list[SkillRow]:
    """By name; only rows that count somebody."""
    by_skill: defaultdict[Any, list[Any]] = defaultdict(list)
    for row in held:
        if row.staff_count:
            by_skill[row.skill].append(row)
    rows = [
        SkillRow(
            skill=skill,
            sites=len(rows),
            people=sum(row.staff_count for row in rows),
            lapsed=tuple(
                row
                for row in rows
                if is_lapsed(row.last_trained_on, skill.lapses_after_months, today)
            ),
            refreshers=tuple(row for row in rows if wants_refresher(row, today)),
        )
        for skill, rows in by_skill.items()
    ]
    return sorted(rows, key=lambda row: row.skill.name)
