"""One site before and after a plan: which methods in use need which action there."""

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cached_property

from planner.engine.case import Action, Case, Method, Result, Site, Volume
from planner.engine.matching import suitability

Suiting = Mapping[str, Sequence[Set[str]]]
"""Method -> for each of its needs, the models that suit it."""


@dataclass(frozen=True)
class Change:
    """What a site had, what the plan does there, and what is done there afterwards."""

    site: Site
    working: Set[str]
    actions: Sequence[Action]
    volumes: Sequence[Volume]
    methods: Mapping[str, Method]
    suiting: Suiting

    @cached_property
    def opened_by(self) -> Mapping[Action, Set[str]]:
        """Action -> methods in use that ask for something which it gave and the site lacked."""
        return {
            action: {method.code for method in self._in_use() if self._lacked(action, method)}
            for action in self.actions
        }

    def served_by(self, action: Action) -> set[str]:
        """Methods in use that can use the units of ``action``, needed or not."""
        return {
            method.code
            for method in self._in_use()
            if any(action.item in models for models in self.suiting[method.code])
        }

    def ran_before(self, test: str) -> list[Method]:
        """Methods of ``test`` that the site could run before the plan."""
        return [
            method
            for method in self.methods.values()
            if method.test == test
            and set(method.skills) <= set(self.site.skills)
            and set(method.infrastructure) <= set(self.site.infrastructure)
            and all(models & self.working for models in self.suiting[method.code])
        ]

    def _in_use(self) -> list[Method]:
        return [self.methods[code] for code in dict.fromkeys(v.method for v in self.volumes)]

    def _lacked(self, action: Action, method: Method) -> bool:
        if action.kind == "train":
            return action.item in method.skills
        if action.kind == "provide":
            return action.item in method.infrastructure
        return any(
            action.item in models and not models & self.working
            for models in self.suiting[method.code]
        )


def changes(case: Case, result: Result) -> dict[str, Change]:
    """The change at each site, by its code."""
    working: defaultdict[str, set[str]] = defaultdict(set)
    actions: defaultdict[str, list[Action]] = defaultdict(list)
    volumes: defaultdict[str, list[Volume]] = defaultdict(list)
    for entry in case.stock:
        if entry.working:
            working[entry.site].add(entry.model)
    for action in result.actions:
        actions[action.site].append(action)
    for volume in result.volumes:
        volumes[volume.at].append(volume)
    methods = {method.code: method for method in case.methods}
    suiting = _suiting(case)
    return {
        site.code: Change(
            site=site,
            working=working[site.code],
            actions=actions[site.code],
            volumes=volumes[site.code],
            methods=methods,
            suiting=suiting,
        )
        for site in case.sites
    }


def _suiting(case: Case) -> Suiting:
    suits = suitability(case)
    per_need = [
        {model.code for model, fits in zip(case.device_models, row, strict=True) if fits}
        for row in suits.suits
    ]
    return {
        method.code: [per_need[need] for need in needs]
        for method, needs in zip(case.methods, suits.method_needs, strict=True)
    }
