"""Coverage by plain loops over the case: no arrays, no memory of equal cells, no shared code.

Written from the case format and from what the states mean, to check and to time the engine
against. Fixes are found by trying, for every unmet need, every model that suits it.
"""

import math
from itertools import product
from typing import NamedTuple

from planner.engine.case import Case, DeviceModel, LabTest, Method, Need, Site
from planner.engine.conditions import Condition, SpecValue

YES, UNKNOWN, NO = "yes", "unknown", "no"


class PlainCell(NamedTuple):
    state: str
    method: str | None
    at: str | None
    fix_cost: float | None


def as_plain(coverage) -> dict[tuple[str, str], PlainCell]:
    """What the engine found, as ``PlainCoverage.cells`` gives it."""
    costs = [None if math.isnan(cost) else cost for cost in coverage.fix_cost.ravel().tolist()]
    return {
        (row.site, row.test): PlainCell(row.state, row.method or None, row.at or None, cost)
        for row, cost in zip(coverage.table().itertuples(), costs, strict=True)
    }


class PlainCoverage:
    """Everything that the loops look up, and the loops."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.skills = {skill.code: skill for skill in case.skills}
        self.items = {item.code: item for item in case.infrastructure}
        self.models = {
            model.code: model
            for model in case.device_models
            if "ABCD".index(model.evidence) <= "ABCD".index(case.minimum_evidence)
        }
        self.working: dict[str, list[str]] = {site.code: [] for site in case.sites}
        self.broken: dict[str, list[str]] = {site.code: [] for site in case.sites}
        for entry in case.stock:
            if entry.model in self.models and entry.working:
                self.working[entry.site].append(entry.model)
            if entry.model in self.models and entry.broken:
                self.broken[entry.site].append(entry.model)
        self.methods: dict[str, list[Method]] = {test.code: [] for test in case.tests}
        for method in case.methods:
            self.methods[method.test].append(method)
        for methods in self.methods.values():
            methods.sort(key=lambda m: (-m.sensitivity, m.consumable_cost, m.code))
        self.answers = {
            (method.code, number): {code: meets(need, model) for code, model in self.models.items()}
            for method in case.methods
            for number, need in enumerate(method.needs)
        }

    def cells(self) -> dict[tuple[str, str], PlainCell]:
        onsite = {
            (site.code, test.code): self.onsite(site, test)
            for site in self.case.sites
            for test in self.case.tests
        }
        links: dict[str, list] = {site.code: [] for site in self.case.sites}
        for link in self.case.links:
            links[link.origin].append(link)
        for leaving in links.values():
            leaving.sort(key=lambda link: (link.cost, link.hours, link.to))
        return {
            (site.code, test.code): self.cell(site, test, onsite, links[site.code])
            for site in self.case.sites
            for test in self.case.tests
        }

    def cell(self, site: Site, test: LabTest, onsite: dict, links: list) -> PlainCell:
        answer, method = onsite[site.code, test.code]
        if answer == YES:
            return PlainCell("runs", method, site.code, 0.0)
        if not site.demand.get(test.code, 0):
            return PlainCell("not_expected", None, None, None)
        fix_cost = min((self.fix_cost(site, m) for m in self.methods[test.code]), default=math.inf)
        limit = test.max_transport_hours
        for link in links:
            answer_there, method_there = onsite[link.to, test.code]
            if limit is not None and link.hours <= limit and answer_there == YES:
                return PlainCell("referred", method_there, link.to, fix_cost)
        return PlainCell("unknown" if answer == UNKNOWN else "blocked", None, None, fix_cost)

    def onsite(self, site: Site, test: LabTest) -> tuple[str, str | None]:
        """Whether the test runs at the site today, and the best method that does."""
        answers = {method.code: self.runs(site, method) for method in self.methods[test.code]}
        for code, answer in answers.items():
            if answer == YES:
                return YES, code
        return (UNKNOWN if UNKNOWN in answers.values() else NO), None

    def runs(self, site: Site, method: Method) -> str:
        if not set(method.skills) <= set(site.skills):
            return NO
        if not set(method.infrastructure) <= set(site.infrastructure):
            return NO
        needs = [self.met(site, method, number) for number in range(len(method.needs))]
        return NO if NO in needs else UNKNOWN if UNKNOWN in needs else YES

    def met(self, site: Site, method: Method, number: int) -> str:
        answers = [self.answers[method.code, number][code] for code in self.working[site.code]]
        return YES if YES in answers else UNKNOWN if UNKNOWN in answers else NO

    def fix_cost(self, site: Site, method: Method) -> float:
        ways = [
            [
                (kind, code)
                for code, answer in self.answers[method.code, number].items()
                if answer == YES
                for kind in ("buy", "repair")
            ]
            for number in range(len(method.needs))
            if self.met(site, method, number) != YES
        ]
        return min(
            (self.cost_of(site, method, set(chosen)) for chosen in product(*ways)),
            default=math.inf,
        )

    def cost_of(self, site: Site, method: Method, units: set[tuple[str, str]]) -> float:
        """What these units cost, with their bundles and with what else the method asks for."""
        skills, items = set(method.skills), set(method.infrastructure)
        cost = 0.0
        for kind, code in units:
            cost += self.unit_cost(site, kind, code)
            for bundle in self.case.bundles:
                if kind == "buy" and bundle.model == code:
                    cost += bundle.cost
                    skills |= set(bundle.skills)
                    items |= set(bundle.infrastructure)
        cost += sum(self.skills[code].training_cost for code in skills - set(site.skills))
        level = str(site.level)
        wanted = items - set(site.infrastructure)
        return cost + sum(self.items[code].cost.get(level, math.inf) for code in wanted)

    def unit_cost(self, site: Site, kind: str, code: str) -> float:
        model = self.models[code]
        if kind == "repair":
            repairable = code in self.broken[site.code] and model.repair_success > 0
            return model.repair_cost if repairable else math.inf
        return math.inf if model.max_units == 0 else model.price


def meets(need: Need, model: DeviceModel) -> str:
    """The best answer of the entries of ``model`` that have the class of ``need``."""
    answers = []
    for entry in model.serves:
        if entry.device_class == need.device_class:
            each = [holds(wanted, entry.specs.get(name)) for name, wanted in need.require.items()]
            answers.append(NO if NO in each else UNKNOWN if UNKNOWN in each else YES)
    return YES if YES in answers else UNKNOWN if UNKNOWN in answers else NO


def holds(condition: Condition, spec: SpecValue | None) -> str:
    """Whether ``spec`` meets ``condition``; unknown where they cannot be compared."""
    wanted, kind = condition.value, condition.comparator
    if kind == "has":
        held = spec if isinstance(spec, tuple) else (spec,)
        return _all(
            YES if any(_same(item, one) for item in held)
            else NO if not held or any(type(item) is type(one) for item in held)
            else UNKNOWN
            for one in wanted
        )  # fmt: skip
    if kind == "covers":
        if not isinstance(spec, tuple) or [type(end) for end in spec] != [float, float]:
            return UNKNOWN
        low, high = spec
        return UNKNOWN if low > high else _yes(low <= wanted[0] and wanted[1] <= high)
    if kind == "is":
        return _yes(spec == wanted) if type(spec) is type(wanted) else UNKNOWN
    if type(spec) is not float:
        return UNKNOWN
    low = wanted if kind == "min" else wanted[0] if kind == "between" else -math.inf
    high = wanted if kind == "max" else wanted[1] if kind == "between" else math.inf
    return _yes(low <= spec <= high)


def _same(left: object, right: object) -> bool:
    return type(left) is type(right) and left == right


def _yes(truth: bool) -> str:
    return YES if truth else NO


def _all(answers) -> str:
    found = set(answers)
    return NO if NO in found else UNKNOWN if UNKNOWN in found else YES
