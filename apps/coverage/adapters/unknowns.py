"""What would run if the facts that nobody knows turned out well.

A case knows yes and no only. So it is assessed twice: with every unknown fact taken as no,
and once more with all of them taken as yes. A test that is blocked in the first and not in
the second is unknown, and the facts between the two are the questions to ask.

Nothing here touches the database.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Self

from planner.engine.case import Case, Site, Stock
from planner.engine.coverage import STATES, Coverage, State, assess
from planner.engine.coverage.cells import NOT_ON_SITE, methods_of, open_questions
from planner.engine.gaps import questions
from planner.engine.matching import Verdict

Pairs = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Unknowns:
    """Facts about sites that nobody knows: (site, skill), (site, infrastructure), (site, model).

    The last are units whose condition is unknown.
    """

    skills: Pairs
    infrastructure: Pairs
    units: Pairs


def supposing_the_best(case: Case, unknowns: Unknowns) -> Case:
    """``case`` with every unknown fact taken as yes, and one unit of each unknown model working."""
    working = Counter({(entry.site, entry.model): entry.working for entry in case.stock})
    broken = Counter({(entry.site, entry.model): entry.broken for entry in case.stock})
    working.update(unknowns.units)
    stock = tuple(
        Stock(site=site, model=model, working=working[site, model], broken=broken[site, model])
        for site, model in sorted(working)
    )
    skills, items = _by_site(unknowns.skills), _by_site(unknowns.infrastructure)
    sites = tuple(
        _with(site, skills.get(site.code, set()), items.get(site.code, set()))
        for site in case.sites
    )
    return case.model_copy(update={"sites": sites, "stock": stock})


@dataclass(frozen=True)
class SecondLook:
    """The coverage of a case as known, and as it would be if all unknown facts were yes.

    ``site`` and ``test`` are positions in the case.
    """

    known: Coverage
    best: Coverage
    unknowns: Unknowns

    @classmethod
    def at(cls, case: Case, unknowns: Unknowns) -> Self:
        return cls(assess(case), assess(supposing_the_best(case, unknowns)), unknowns)

    def state(self, site: int, test: int) -> State:
        """The state as known, but unknown where only unknown facts may stand in the way."""
        known, best = (STATES[each.state[site, test]] for each in (self.known, self.best))
        if known is State.BLOCKED and best in (State.RUNS, State.UNKNOWN):
            return State.UNKNOWN
        return known

    def questions(self, site: int, test: int) -> tuple[str, ...]:
        """What to ask and measure to know whether the test runs; empty where that is known."""
        if STATES[self.known.state[site, test]] not in NOT_ON_SITE:
            return ()
        measured = open_questions(self.known.situation, site, test)
        method = self._method(site, test)
        if measured or method is None:
            return measured
        # Facts that are cheap to ask for come before specifications that must be measured.
        return (*self._facts(site, method), *questions(self.best.situation, site, method))

    def _method(self, site: int, test: int) -> int | None:
        """The best method that would run; else the best of which only specifications are open."""
        situation = self.best.situation
        verdicts = situation.capability.methods[site]
        found = [m for m in methods_of(situation, test) if verdicts[m] != Verdict.NOT_MET]
        return max(found, key=lambda m: verdicts[m], default=None)

    def _facts(self, site: int, method: int) -> Iterator[str]:
        """The unknown facts that ``method`` needs at ``site``, as questions."""
        case = self.known.situation.case
        where, wanted = case.sites[site], case.methods[method]
        skills = {skill.code: skill.name for skill in case.skills}
        items = {item.code: item.name for item in case.infrastructure}
        for skill in wanted.skills:
            if (where.code, skill) in self.unknowns.skills:
                yield f"Ask whether anybody at {where.name} is trained in {inside(skills[skill])}"
        for item in wanted.infrastructure:
            if (where.code, item) in self.unknowns.infrastructure:
                yield f"Ask whether {where.name} has {inside(items[item])}"
        for model in self._units(site, method):
            name = inside(case.device_models[model].name)
            yield f"Find out whether the {name} at {where.name} works"

    def _units(self, site: int, method: int) -> list[int]:
        """Models of unknown condition on site that would meet a need which nothing else meets."""
        known, suitability = self.known.situation, self.known.situation.suitability
        code = known.case.sites[site].code
        unmet = [
            need
            for need in dict.fromkeys(suitability.method_needs[method])
            if known.capability.needs[site, need] != Verdict.MET
        ]
        return [
            position
            for position, model in enumerate(known.case.device_models)
            if (code, model.code) in self.unknowns.units
            and any(
                suitability.suits[need, position] or suitability.may_suit[need, position]
                for need in unmet
            )
        ]


def _by_site(pairs: Pairs) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for site, code in pairs:
        found.setdefault(site, set()).add(code)
    return found


def _with(site: Site, skills: set[str], items: set[str]) -> Site:
    return site.model_copy(
        update={
            "skills": tuple(sorted({*site.skills, *skills})),
            "infrastructure": tuple(sorted({*site.infrastructure, *items})),
        }
    )


def inside(name: str) -> str:
    """``name`` as it stands inside a sentence: ``running water``, but ``ECG machine``."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name
