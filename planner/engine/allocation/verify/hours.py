"""Do the tests done at each site fit its staff and its machines?"""

from collections import defaultdict
from collections.abc import Iterator, Mapping

from planner.engine.allocation.verify.facts import Facts, Standing
from planner.engine.allocation.verify.transport import Shortage, shortage
from planner.engine.allocation.verify.violation import Violation, exceeds, figure
from planner.engine.case import Volume

Done = Mapping[str, Mapping[str, float]]
"""Site and method -> tests a year done there, for whomever."""


def done_at(volumes: list[Volume]) -> Done:
    """Tests a year by the site that does them and the method, whoever they are for."""
    done: defaultdict[str, defaultdict[str, float]] = defaultdict(lambda: defaultdict(float))
    for volume in volumes:
        done[volume.at][volume.method] += volume.per_year
    return done


def violations(facts: Facts, after: Standing, volumes: list[Volume]) -> Iterator[Violation]:
    """Sites whose tests take more staff or machine hours a year than there are."""
    for at, done in done_at(volumes).items():
        asked, there = staff_hours(facts, done), facts.sites[at].staff_hours
        if exceeds(asked, there):
            text = (
                f"{at}: the tests take {figure(asked)} staff hours a year, it has {figure(there)}."
            )
            yield Violation("staff-hours", text)
        short = machine_shortage(facts, after, at, done)
        if short is not None and exceeds(short.asked, short.available):
            models = ", ".join(sorted(short.sources))
            yield Violation(
                "machine-hours",
                f"{at}: tests that can only use {models} take {figure(short.asked)} machine "
                f"hours a year, its units give {figure(short.available)}.",
            )


def staff_hours(facts: Facts, done: Mapping[str, float]) -> float:
    """Staff hours a year that the tests in ``done`` (by method) take."""
    return sum(facts.methods[code].staff_hours * per_year for code, per_year in done.items())


def machine_shortage(
    facts: Facts, standing: Standing, at: str, done: Mapping[str, float]
) -> Shortage[str] | None:
    """Needs that ask for more hours than the units that suit them have; ``None`` if all fit."""
    asked: defaultdict[frozenset[str], float] = defaultdict(float)
    for code, per_year in done.items():
        for number, need in enumerate(facts.methods[code].needs):
            suiting = facts.suiting[code, number]
            units = frozenset(model for model in suiting if standing.units[at].get(model))
            if units:  # a need with no unit at all breaks the rule "device"
                asked[units] += need.hours * per_year
    there = {
        model: count * facts.models[model].hours_per_year * facts.models[model].uptime
        for model, count in standing.units[at].items()
    }
    return shortage(there, asked)
