"""Actions that belong together: at one site, for the same tests; what they bring and cost.

What a plan adds to a test for the people of a site is what is done after it less what was
done before, wherever that was. It is shared out among the packages that have a part in the
test, by the worth of what each does.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from planner.engine.allocation.explain.change import Change, changes
from planner.engine.case import Action, Case, Result


@dataclass(frozen=True, slots=True)
class Package:
    """Actions at ``site`` of which a test needs several, or each of which some test needs.

    ``tests`` are codes in the order of the case. Of a year, beyond what is done without the
    plan: ``correct_per_year`` results that come out right, ``worth_per_year`` with their
    weights. ``people`` are those of all sites whose specimens are among them. ``cost`` is
    what the actions cost once; ``cost_per_correct_test`` that for each such result of one
    year (``None``: there is none).
    """

    site: str
    actions: tuple[Action, ...]
    tests: tuple[str, ...]
    people: float
    correct_per_year: float
    worth_per_year: float
    cost: float
    cost_per_correct_test: float | None


def packages(case: Case, before: Result, after: Result) -> tuple[Package, ...]:
    """The actions of ``after`` in packages, in the order of the case's sites.

    ``before`` is what ``today`` answers for the same case. Each action is in one package.
    """
    figures = _Figures(case, before, after)
    return tuple(
        figures.package(change, actions, methods)
        for change in changes(case, after).values()
        for actions, methods in _together(change, case)
    )


def _together(change: Change, case: Case) -> list[tuple[list[Action], set[str]]]:
    """Actions joined where they serve the same method or belong to the same bundle, with the
    methods that they serve."""
    bundles = {bundle.model: bundle for bundle in case.bundles}
    joined: list[tuple[list[Action], set[str], set[tuple[str, str]]]] = []
    for action in change.actions:
        methods = set(change.opened_by[action] or change.served_by(action))
        items = {(str(action.kind), action.item)}
        if action.kind == "buy" and (bundle := bundles.get(action.item)):
            items |= {("train", skill) for skill in bundle.skills}
            items |= {("provide", item) for item in bundle.infrastructure}
        actions, apart = [action], []
        for each in joined:
            if each[1] & methods or each[2] & items:
                actions, methods, items = each[0] + actions, methods | each[1], items | each[2]
            else:
                apart.append(each)
        joined = [*apart, (actions, methods, items)]
    return [(actions, methods) for actions, methods, _ in joined]


class _Figures:
    """What is done before and after, by whose people and which test."""

    def __init__(self, case: Case, before: Result, after: Result) -> None:
        self.methods = {method.code: method for method in case.methods}
        self.weight = {test.code: test.weight for test in case.tests}
        self.population = {site.code: site.population for site in case.sites}
        was, becomes = self._correct(before), self._correct(after)
        self.added = {at: max(0.0, right - was.get(at, 0.0)) for at, right in becomes.items()}
        at = changes(case, after)
        self.by_packages: defaultdict[tuple[str, str], float] = defaultdict(float)
        for change in at.values():
            for _, methods in _together(change, case):
                for key, right in self._of(change, methods).items():
                    self.by_packages[key] += right

    def package(self, change: Change, actions: Sequence[Action], methods: set[str]) -> Package:
        added = {
            at: min(right, self.added[at] * right / self.by_packages[at])
            for at, right in self._of(change, methods).items()
            if right > 0
        }
        cost = sum(action.cost for action in actions)
        correct = sum(added.values())
        served = {test for (_, test), right in added.items() if right > 0}
        origins = {origin for (origin, _), right in added.items() if right > 0}
        return Package(
            site=change.site.code,
            actions=tuple(actions),
            tests=tuple(test for test in self.weight if test in served),
            people=sum(self.population[origin] for origin in sorted(origins)),
            correct_per_year=correct,
            worth_per_year=sum(self.weight[test] * right for (_, test), right in added.items()),
            cost=cost,
            cost_per_correct_test=cost / correct if correct > 0 else None,
        )

    def _of(self, change: Change, methods: set[str]) -> dict[tuple[str, str], float]:
        """Correct results of ``methods`` at the site, by whose people and which test."""
        right: defaultdict[tuple[str, str], float] = defaultdict(float)
        for volume in change.volumes:
            if volume.method in methods:
                method = self.methods[volume.method]
                right[volume.origin, method.test] += method.sensitivity * volume.per_year
        return right

    def _correct(self, result: Result) -> dict[tuple[str, str], float]:
        right: defaultdict[tuple[str, str], float] = defaultdict(float)
        for volume in result.volumes:
            method = self.methods[volume.method]
            right[volume.origin, method.test] += method.sensitivity * volume.per_year
        return right
