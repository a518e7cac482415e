"""Can each volume be done where the result says, and does anybody get too much?"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator

from planner.engine.allocation.verify.facts import Facts, Standing
from planner.engine.allocation.verify.violation import Rule, Violation, exceeds, figure
from planner.engine.case import Volume

SMALLEST_PER_YEAR = 1e-6
"""Volumes below this are left out of a result."""


def unknown_codes(facts: Facts, volumes: Iterable[Volume]) -> Iterator[tuple[Volume, Violation]]:
    """The volumes that name a site or method which the case does not have."""
    for volume in volumes:
        for code, kind, known in (
            (volume.origin, "site", facts.sites),
            (volume.at, "site", facts.sites),
            (volume.method, "method", facts.methods),
        ):
            if code not in known:
                text = f"{named(volume)}: there is no {kind} with code {code!r}."
                yield volume, Violation("unknown-code", text)
                break


def violations(facts: Facts, after: Standing, volumes: list[Volume]) -> Iterator[Violation]:
    """What is wrong with volumes whose codes are known, given what stands ``after`` the plan."""
    times = Counter((volume.origin, volume.at, volume.method) for volume in volumes)
    for (origin, at, method), count in times.items():
        if count > 1:
            text = f"{method} for {origin} at {at} is listed {count} times."
            yield Violation("duplicate", text)
    for volume in volumes:
        if volume.per_year < SMALLEST_PER_YEAR:
            text = f"{named(volume)}: {volume.per_year:g} a year is too little to be listed."
            yield Violation("volume-size", text)
        yield from _route(facts, volume)
    yield from _lacking(facts, after, volumes)
    yield from _repairs(facts, after, volumes)
    yield from _demand(facts, volumes)


def named(volume: Volume) -> str:
    """The volume as a violation names it: ``method for origin at site``."""
    return f"{volume.method} for {volume.origin} at {volume.at}"


def _route(facts: Facts, volume: Volume) -> Iterator[Violation]:
    method = facts.methods[volume.method]
    if facts.reachable(volume.origin, volume.at, method):
        return
    link = facts.links.get((volume.origin, volume.at))
    longest_h = facts.tests[method.test].max_transport_hours
    if link is None:
        why = "there is no link between the two"
    elif longest_h is None:
        why = f"a specimen for {method.test} may not travel"
    else:
        why = f"the link takes {figure(link.hours)} h, the specimen keeps {figure(longest_h)} h"
    yield Violation("route", f"{named(volume)}: {why}.")


def _lacking(facts: Facts, after: Standing, volumes: list[Volume]) -> Iterator[Violation]:
    for at, code in dict.fromkeys((volume.at, volume.method) for volume in volumes):
        needs, skills, infrastructure = after.lacks(facts, at, facts.methods[code])
        kinds: tuple[tuple[Rule, list[str], str], ...] = (
            ("device", [n.device_class for n in needs], "a working unit that suits the need of a"),
            ("skill", sorted(skills), "the skill"),
            ("infrastructure", sorted(infrastructure), "the infrastructure item"),
        )
        for rule, missing, what in kinds:
            for item in missing:
                yield Violation(rule, f"{code} at {at}: the site lacks {what} {item}.")


def _repairs(facts: Facts, after: Standing, volumes: list[Volume]) -> Iterator[Violation]:
    """Tests of a site that hang on fewer than one expected unit, beyond the share that gives.

    Whichever way a test is done, if all its ways hang on the same units they share them.
    """
    unsure = {code for code, model in facts.models.items() if model.repair_success < 1}
    kinds = {kind for kind in facts.suiting.values() if kind & unsure}
    by_test = _by_test(facts, volumes) if kinds else {}
    for (origin, at, test), per_method in by_test.items():
        asked = facts.sites[origin].demand.get(test, 0.0)
        for kind in kinds:
            share = sum(after.units[at].get(model, 0.0) for model in kind)
            done = sum(
                per_year
                for method, per_year in per_method.items()
                if any(
                    facts.suiting[method, number] <= kind
                    for number in range(len(facts.methods[method].needs))
                )
            )
            if 0 < share < 1 and exceeds(done, share * asked):
                text = f"{test} for {origin} at {at}: {figure(done)} a year hang on repairs that "
                text += f"give {figure(share)} of a unit; that is {figure(share * asked)} a year."
                yield Violation("repair", text)


def _by_test(
    facts: Facts, volumes: Iterable[Volume]
) -> dict[tuple[str, str, str], dict[str, float]]:
    """Tests a year by origin, site and test, then by method."""
    done: defaultdict[tuple[str, str, str], dict[str, float]] = defaultdict(dict)
    for volume in volumes:
        at = volume.origin, volume.at, facts.methods[volume.method].test
        done[at][volume.method] = done[at].get(volume.method, 0.0) + volume.per_year
    return done


def _demand(facts: Facts, volumes: list[Volume]) -> Iterator[Violation]:
    done: defaultdict[tuple[str, str], float] = defaultdict(float)
    for volume in volumes:
        done[volume.origin, facts.methods[volume.method].test] += volume.per_year
    for (origin, test), per_year in done.items():
        asked = facts.sites[origin].demand.get(test, 0.0)
        if exceeds(per_year, asked):
            text = (
                f"{origin} gets {figure(per_year)} of {test} a year and asks for {figure(asked)}."
            )
            yield Violation("demand", text)
