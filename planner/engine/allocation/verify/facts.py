"""The case by code, what suits what, and what stands at each site once actions are taken."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

from planner.engine.allocation.verify.fitness import meets
from planner.engine.asking import Bundle, Move
from planner.engine.case import (
    Action,
    Case,
    DeviceModel,
    Infrastructure,
    LabTest,
    Link,
    Method,
    Need,
    Site,
    Skill,
    Stock,
)


@dataclass(frozen=True)
class Facts:
    """The entries of a case by their codes.

    ``suiting`` is keyed by method and need number, ``bundles`` by model, ``moves`` by origin,
    destination and model.
    """

    case: Case
    sites: Mapping[str, Site]
    models: Mapping[str, DeviceModel]
    skills: Mapping[str, Skill]
    infrastructure: Mapping[str, Infrastructure]
    tests: Mapping[str, LabTest]
    methods: Mapping[str, Method]
    stock: Mapping[tuple[str, str], Stock]
    links: Mapping[tuple[str, str], Link]
    suiting: Mapping[tuple[str, int], frozenset[str]]
    bundles: Mapping[str, Bundle]
    moves: Mapping[tuple[str, str, str], Move]

    def worth(self, method: Method) -> float:
        """Value of one test done by ``method``: weight times sensitivity."""
        return self.tests[method.test].weight * method.sensitivity

    def graded(self, model: DeviceModel) -> bool:
        """Whether the evidence for ``model`` suffices; "A" is the best grade."""
        return model.evidence <= self.case.minimum_evidence

    def reachable(self, origin: str, at: str, method: Method) -> bool:
        """Whether the people of ``origin`` may have the test done at ``at``."""
        if origin == at:
            return True
        link = self.links.get((origin, at))
        longest_h = self.tests[method.test].max_transport_hours
        return link is not None and longest_h is not None and link.hours <= longest_h

    def cost_of_one(self, origin: str, at: str, method: Method) -> float:
        """Consumables, and transport where the specimen travels."""
        transport = 0.0 if origin == at else self.links[origin, at].cost
        return method.consumable_cost + transport


@dataclass(frozen=True)
class Standing:
    """What stands at each site: units to be expected by site and model, skills, infrastructure."""

    units: Mapping[str, Mapping[str, float]]
    skills: Mapping[str, Set[str]]
    infrastructure: Mapping[str, Set[str]]

    def lacks(self, facts: Facts, at: str, method: Method) -> tuple[list[Need], set[str], set[str]]:
        """Needs, skills and infrastructure items of ``method`` that are not at ``at``."""
        units = self.units[at]
        needs = [
            need
            for number, need in enumerate(method.needs)
            if not any(units.get(model, 0) for model in facts.suiting[method.code, number])
        ]
        skills = set(method.skills) - self.skills[at]
        return needs, skills, set(method.infrastructure) - self.infrastructure[at]

    def runs(self, facts: Facts, at: str, method: Method) -> bool:
        return not any(self.lacks(facts, at, method))


def facts_of(case: Case) -> Facts:
    """The case by code, with the models whose evidence the case accepts."""
    graded = [m for m in case.device_models if m.evidence <= case.minimum_evidence]
    return Facts(
        case=case,
        sites={site.code: site for site in case.sites},
        models={model.code: model for model in case.device_models},
        skills={skill.code: skill for skill in case.skills},
        infrastructure={item.code: item for item in case.infrastructure},
        tests={test.code: test for test in case.tests},
        methods={method.code: method for method in case.methods},
        stock={(entry.site, entry.model): entry for entry in case.stock},
        links={(link.origin, link.to): link for link in case.links},
        suiting={
            (method.code, number): frozenset(m.code for m in graded if meets(m, need))
            for method in case.methods
            for number, need in enumerate(method.needs)
        },
        bundles={bundle.model: bundle for bundle in case.bundles},
        moves={(move.origin, move.to, move.model): move for move in case.moves},
    )


def standing(facts: Facts, actions: Iterable[Action]) -> Standing:
    """What stands at each site once ``actions``, whose codes are known, are taken."""
    units: dict[str, dict[str, float]] = {code: {} for code in facts.sites}
    skills = {code: set(site.skills) for code, site in facts.sites.items()}
    infrastructure = {code: set(site.infrastructure) for code, site in facts.sites.items()}
    for entry in facts.case.stock:
        units[entry.site][entry.model] = float(entry.working)
    for action in actions:
        if action.kind == "train":
            skills[action.site].add(action.item)
        elif action.kind == "provide":
            infrastructure[action.site].add(action.item)
        else:
            there = units[action.site]
            sure = facts.models[action.item].repair_success if action.kind == "repair" else 1.0
            there[action.item] = there.get(action.item, 0.0) + sure * action.quantity
        if action.kind == "move" and action.moved_from in units:
            left = units[action.moved_from]
            left[action.item] = max(0.0, left.get(action.item, 0.0) - action.quantity)
    return Standing(units, skills, infrastructure)
