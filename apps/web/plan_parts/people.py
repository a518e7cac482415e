"""Who gains by a plan and who is still left out: a map before and after, fifths, sites."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.web.figures import figures, money_text, percent_text, points_text
from apps.web.maps import Drawing, draw
from apps.web.places import Region, Spot, shade

LISTED = 12


@dataclass(frozen=True)
class SharePlace(Spot):
    """A site with the share of its people's tests that is done, anywhere; ``None``: unknown."""

    share: float | None

    @property
    def style(self) -> str:
        if self.share is None:
            return "share-none"
        return f"share-{shade(round(1000 * self.share), 1000)}"

    @property
    def says(self) -> str:
        if self.share is None:
            return gettext("left out of the plan")
        return gettext("%(share)s of tests done") % {"share": percent_text(self.share)}


@dataclass(frozen=True)
class FifthRow:
    name: str
    people: str
    before: str
    after: str
    change: str


@dataclass(frozen=True)
class LeftRow:
    site: Any
    tests: str
    share: str
    why: str
    next: str


@dataclass(frozen=True)
class People:
    """``before`` and ``after`` are maps; ``whys`` says of all tests left undone why."""

    before: Drawing | None
    after: Drawing | None
    said: str
    fifths: tuple[FifthRow, ...]
    whys: tuple[str, ...]
    left: tuple[LeftRow, ...]
    more_left: int


def people(
    run: Any, sites: Iterable[Any], regions: Iterable[Region], currency: str
) -> People | None:
    """``sites`` are facilities of the district; ``None`` for an older run."""
    shares = run.summary.get("sites")
    if shares is None:
        return None
    facilities, land = list(sites), list(regions)
    by_code = {site.code: site for site in facilities}
    remaining, gain = run.summary["remaining"], run.summary["people"]
    named = [each for each in remaining["sites"] if each["code"] in by_code]
    return People(
        before=draw(_places(facilities, shares, 1), land),
        after=draw(_places(facilities, shares, 2), land),
        said=gettext("More is done for %(gain)s of %(all)s people.")
        % {"gain": figures(gain["gain"]), "all": figures(gain["all"])},
        fifths=tuple(_fifth(*pair) for pair in enumerate(run.summary["fifths"])),
        whys=tuple(_whys(remaining["by_why"])),
        left=tuple(_left(by_code[each["code"]], each, shares, currency) for each in named[:LISTED]),
        more_left=len(remaining["sites"]) + remaining["more_sites"] - len(named[:LISTED]),
    )


def _places(sites: list[Any], shares: Mapping[str, list[float]], at: int) -> list[SharePlace]:
    return [
        SharePlace(
            site.code, site.name, site.level, site.latitude, site.longitude, site.population,
            share=_share(shares.get(site.code), at),
        )
        for site in sites
    ]  # fmt: skip


def _share(amounts: list[float] | None, at: int) -> float | None:
    return amounts[at] / amounts[0] if amounts and amounts[0] else None


def _fifth(number: int, fifth: Mapping[str, Any]) -> FifthRow:
    names = (
        gettext("Worst served today"), gettext("Second fifth"), gettext("Third fifth"),
        gettext("Fourth fifth"), gettext("Best served today"),
    )  # fmt: skip
    known = fifth["before"] is not None
    return FifthRow(
        names[number],
        figures(fifth["people"]),
        percent_text(fifth["before"], 1) if known else "–",
        percent_text(fifth["after"], 1) if known else "–",
        points_text(fifth["after"] - fifth["before"]) if known else "–",
    )


def _whys(by_why: Mapping[str, float]) -> Iterable[str]:
    words = {
        "elsewhere": gettext("%(tests)s could be made possible; the money brings more elsewhere."),
        "used_up": gettext(
            "%(tests)s could be done at a site that is equipped, but hours of staff or devices, or"
            " the money to run it, are used up."
        ),
        "nothing_helps": gettext("For %(tests)s, nothing that money can buy would help."),
    }
    for why, text in words.items():
        if by_why.get(why):
            yield text % {"tests": figures(by_why[why])}


def _left(site: Any, each: Mapping[str, Any], shares: Mapping[str, Any], currency: str) -> LeftRow:
    words = {
        "elsewhere": gettext("brings more elsewhere"),
        "used_up": gettext("hours or running money used up"),
        "nothing_helps": gettext("nothing would help"),
    }
    whys = sorted(each["by_why"].items(), key=lambda pair: -pair[1])
    following = ""
    if each["next_cost"] is not None:
        following = gettext("%(test)s, for %(cost)s") % {
            "test": each["next_test"],
            "cost": money_text(each["next_cost"], currency),
        }
    done = _share(shares.get(site.code), 2)
    return LeftRow(
        site,
        figures(each["tests"]),
        percent_text(done) if done is not None else "–",
        ", ".join(f"{words[why]} ({figures(tests)})" for why, tests in whys),
        following,
    )
