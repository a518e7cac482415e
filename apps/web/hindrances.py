"""One test across the sites of a district: where it is done, and what stands in its way."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from apps.coverage.choices import State
from apps.web.places import StatePlace
from apps.web.sheets import Action, Lack, Verdict, verdict_of


@dataclass(frozen=True)
class SiteVerdict:
    """What one site can do about the test."""

    facility: Any
    verdict: Verdict

    @property
    def people(self) -> int:
        """People in the catchment; an unknown number counts as none, and is shown as unknown."""
        return self.facility.population or 0

    @property
    def place(self) -> StatePlace:
        site = self.facility
        return StatePlace(
            code=site.code,
            name=site.name,
            level=site.level,
            latitude=site.latitude,
            longitude=site.longitude,
            population=site.population,
            state=self.verdict.finding.state,
        )


@dataclass(frozen=True)
class Remedy:
    """The cheapest fix among some sites, at how many of them money helps, and for how much."""

    actions: tuple[Action, ...]
    cost: float
    sites: int
    all_cost: float


@dataclass
class Hindrance:
    """Something that is lacking, for which methods, and the sites that lack it."""

    reason: str
    methods: list[str] = field(default_factory=list)
    at: list[SiteVerdict] = field(default_factory=list)

    @property
    def sites(self) -> int:
        return len(self.at)

    @property
    def people(self) -> int:
        return sum(site.people for site in self.at)

    @property
    def remedy(self) -> Remedy | None:
        """What puts the test right at these sites; ``None`` where money cannot."""
        fixable = [site.verdict for site in self.at if site.verdict.fix]
        if not fixable:
            return None
        costs = [float(verdict.finding.fix_cost or 0) for verdict in fixable]
        cheapest = fixable[costs.index(min(costs))]
        return Remedy(cheapest.fix, min(costs), len(fixable), sum(costs))


@dataclass(frozen=True)
class Destination:
    """A site to which specimens go, and the sites that send them."""

    site: Any
    senders: tuple[SiteVerdict, ...]

    @property
    def people(self) -> int:
        return sum(sender.people for sender in self.senders)


@dataclass(frozen=True)
class AcrossSites:
    """Sites under the value of each state, those with most people first; and what they lack."""

    sites: dict[str, list[SiteVerdict]]
    hindrances: list[Hindrance]

    @property
    def places(self) -> list[StatePlace]:
        """All sites as marks of a map."""
        return [site.place for found in self.sites.values() for site in found]

    @property
    def destinations(self) -> list[Destination]:
        """Where specimens go, the place that serves most people first."""
        found: dict[Any, list[SiteVerdict]] = {}
        for sender in self.sites[State.REFERRED]:
            found.setdefault(sender.verdict.finding.referred_to, []).append(sender)
        goals = [Destination(site, tuple(senders)) for site, senders in found.items() if site]
        return sorted(goals, key=lambda goal: (-goal.people, goal.site.code))

    @property
    def runs_by_method(self) -> Counter[str]:
        """Method code to the number of sites where it can be run, the best one or not."""
        every = (site.verdict.finding for found in self.sites.values() for site in found)
        return Counter(
            method["code"]
            for finding in every
            for method in finding.detail.get("methods", [])
            if method["runs"]
        )

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
            hindrance.at.append(site)
    return sorted(found.values(), key=lambda each: (-each.people, -each.sites, each.reason))
