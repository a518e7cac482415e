"""One test across the sites of a district: where it is done, and what stands in its way."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from apps.coverage.choices import State
from apps.web.sheets import Lack, Verdict, verdict_of


@dataclass(frozen=True)
class SiteVerdict:
    """What one site can do about the test."""

    facility: Any
    verdict: Verdict

    @property
    def people(self) -> int:
        """People in the catchment; an unknown number counts as none, and is shown as unknown."""
        return self.facility.population or 0


@dataclass
class Hindrance:
    """Something that is lacking, for which methods, at how many sites, for how many people."""

    reason: str
    methods: list[str] = field(default_factory=list)
    sites: int = 0
    people: int = 0


@dataclass(frozen=True)
class AcrossSites:
    """Sites under the value of each state, those with most people first; and what they lack."""

    sites: dict[str, list[SiteVerdict]]
    hindrances: list[Hindrance]

    @property
    def people_without(self) -> int:
        """People of the sites where the test cannot be done, not even by referral."""
        return sum(site.people for site in self.sites[State.BLOCKED])


def across(findings: Iterable[Any]) -> AcrossSites:
    """The findings of one test, each with its facility."""
    sites: dict[str, list[SiteVerdict]] = {state.value: [] for state in State}
    for finding in findings:
        sites[finding.state].append(SiteVerdict(finding.facility, verdict_of(finding)))
    for found in sites.values():
        found.sort(key=lambda site: (-site.people, site.facility.code))
    return AcrossSites(sites, _hindrances(sites[State.BLOCKED]))


def _hindrances(blocked: Iterable[SiteVerdict]) -> list[Hindrance]:
    """What the method that lacks least is lacking at each site, most people first."""
    found: dict[str, Hindrance] = {}
    for site in blocked:
        lack = site.verdict.nearest or Lack("", ())
        for reason in lack.reasons:
            hindrance = found.setdefault(reason, Hindrance(reason))
            if lack.method not in hindrance.methods:
                hindrance.methods.append(lack.method)
            hindrance.sites += 1
            hindrance.people += site.people
    return sorted(found.values(), key=lambda each: (-each.people, -each.sites, each.reason))
