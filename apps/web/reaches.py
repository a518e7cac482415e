"""How far people are from a test, arranged for its page."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext, gettext_lazy

from apps.facilities.choices import Season, TravelMode
from apps.web.figures import figures, percent_text


@dataclass(frozen=True)
class PeopleLine:
    """So many people within some distance; ``shade`` names the part of the bar, if it is one."""

    words: str
    people: str
    share: str
    shade: str = ""


@dataclass(frozen=True)
class Part:
    """A part of the bar, in per cent of its width."""

    shade: str
    left: str
    width: str


@dataclass(frozen=True)
class PeopleReach:
    lines: tuple[PeopleLine, ...]
    parts: tuple[Part, ...]
    answer: str
    assumption: str
    measured: str
    uncounted: int
    exchanged: str
    choices: tuple[tuple[str, str, bool], ...]


PACES = (
    ("unpaved", "dry", gettext_lazy("by vehicle, dry season")),
    ("unpaved", "wet", gettext_lazy("by vehicle, in the rains")),
    ("walk", "dry", gettext_lazy("on foot, dry season")),
    ("walk", "wet", gettext_lazy("on foot, in the rains")),
)


def people_reach(found: Any) -> PeopleReach:
    """``found``: what ``coverage.selectors.reach.reach_of_test`` gives."""
    reach, total = found.reach, found.reach.people
    near, far = reach.within_hours
    shaded = (
        (gettext("At a site that runs it"), reach.on_site, "5"),
        (gettext("Elsewhere, within 1 hour"), near - reach.on_site, "3"),
        (gettext("1 to 2 hours away"), far - near, "1"),
        (gettext("Further than 2 hours, or nowhere"), reach.beyond, "none"),
        (gettext("Way not known"), reach.way_unknown, "unknown"),
    )
    kept = [row for row in shaded if row[1] or row[2] != "unknown"]
    straight = gettext("Of all these, within 5 km of one in a straight line")
    lines = [PeopleLine(w, figures(people), _of(people, total), shade) for w, people, shade in kept]
    lines.append(PeopleLine(straight, figures(reach.within_km), _of(reach.within_km, total)))
    return PeopleReach(
        tuple(lines),
        tuple(_parts(kept, total)),
        _answer(far, total),
        _assumption(found.pace),
        gettext("%(measured)s of %(ways)s ways measured, the others estimated")
        % {"measured": figures(found.measured_ways), "ways": figures(found.ways)},
        reach.sites_uncounted,
        ", ".join(found.exchanged),
        tuple(
            (
                f"by={mode}&season={season}",
                str(words),
                (mode, season) == (found.pace.mode, found.pace.season),
            )
            for mode, season, words in PACES
        ),
    )


def _answer(within_two_hours: float, total: float) -> str:
    if not total:
        return gettext("Nobody is counted at any of these sites.")
    return gettext("%(share)s of %(people)s people live within 2 hours of a site that runs it.") % {
        "share": percent_text(within_two_hours / total),
        "people": figures(total),
    }


def _assumption(pace: Any) -> str:
    return f"{TravelMode(pace.mode).label}, {Season(pace.season).label}".lower()


def _of(people: float, total: float) -> str:
    return percent_text(people / total) if total else ""


def _parts(rows: Iterable[tuple[str, float, str]], total: float) -> Iterable[Part]:
    left = 0.0
    for _, people, shade in rows:
        width = 100 * people / total if total else 0.0
        yield Part(shade, f"{left:.2f}", f"{width:.2f}")
        left += width
