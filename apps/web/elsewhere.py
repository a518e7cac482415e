"""Where people and specimens go for what a site lacks, arranged for its page."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext

from apps.web.amounts import hours_text, km_text


@dataclass(frozen=True)
class LackingLine:
    """Tests that the site lacks whose specimens fare alike: how they could go, in words."""

    tests: tuple[Any, ...]
    goes_to: Any | None
    takes: str
    keeps: str
    verdict: str
    in_time: bool


@dataclass(frozen=True)
class ElsewhereGroup:
    """Another site, the way there in words, and the tests that run nearest there."""

    site: Any | None
    way: str
    measured: str
    tests: tuple[LackingLine, ...]


def elsewhere_groups(found: Sequence[Any]) -> list[ElsewhereGroup]:
    """``found``: what ``coverage.selectors.elsewhere.reach_from`` gives."""
    return [
        ElsewhereGroup(
            each.journey.site if each.journey else None,
            _journey(each.journey) if each.journey else "",
            _measured(each.journey) if each.journey else "",
            tuple(_alike(each.tests)),
        )
        for each in found
    ]


def _alike(tests: Sequence[Any]) -> Iterable[LackingLine]:
    """A line for all tests of which the same is to be said, those with most time first."""
    lines: dict[tuple[Any, ...], LackingLine] = {}
    unknown = float("-inf")
    for lacking in sorted(tests, key=lambda each: -(each.spare_hours or unknown)):
        line = _lacking(lacking)
        key = (line.goes_to, line.takes, line.keeps, line.verdict)
        seen = lines.get(key)
        lines[key] = replace(line, tests=(*seen.tests, *line.tests)) if seen else line
    return lines.values()


def _journey(journey: Any) -> str:
    return gettext("%(km)s in a straight line; by vehicle %(dry)s, in the rains %(wet)s") % {
        "km": km_text(journey.straight_km),
        "dry": hours_text(journey.dry_hours),
        "wet": hours_text(journey.wet_hours),
    }


def _measured(journey: Any) -> str:
    if journey.dry_is_measured and journey.wet_is_measured:
        return gettext("times measured")
    if journey.dry_is_measured or journey.wet_is_measured:
        return gettext("one of the times measured, the other estimated")
    return gettext("times estimated")


def _lacking(lacking: Any) -> LackingLine:
    keeps = lacking.test.max_transport_hours
    return LackingLine(
        tests=(lacking.test,),
        goes_to=lacking.goes_to,
        takes=_takes(lacking.way) if lacking.way else "",
        keeps=gettext("may not travel") if keeps is None else hours_text(keeps),
        verdict=_spare(lacking),
        in_time=lacking.in_time,
    )


def _takes(way: Any) -> str:
    if way.hours is None:
        return gettext("not known")
    total = hours_text(way.hours)
    if not way.is_worked_out:
        return gettext("%(total)s, as stated") % {"total": total}
    pieces = [
        gettext("%(hours)s wait") % {"hours": hours_text(way.wait_hours)},
        (gettext("%(hours)s way, measured") if way.travel_is_measured else gettext("%(hours)s way"))
        % {"hours": hours_text(way.travel_hours)},
    ]
    if way.queue_hours:
        pieces.append(gettext("%(hours)s queue") % {"hours": hours_text(way.queue_hours)})
    return f"{total} = {' + '.join(pieces)}"


def _spare(lacking: Any) -> str:
    if lacking.way is None:
        return gettext("no courier route to a site that runs it")
    if lacking.test.max_transport_hours is None:
        return gettext("the patient has to go")
    if lacking.spare_hours is None:
        return gettext("not known")
    if lacking.spare_hours < 0:
        return gettext("%(hours)s too late") % {"hours": hours_text(-lacking.spare_hours)}
    return gettext("%(hours)s to spare") % {"hours": hours_text(lacking.spare_hours)}
