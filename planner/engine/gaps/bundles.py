"""What bundles ask of a site before a model of theirs is bought there."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from planner.engine.case import Case, DeviceModel


@dataclass(frozen=True)
class Granted:
    """Skills and infrastructure items that a site has, or is given for the sake of a bundle."""

    skills: frozenset[str]
    infrastructure: frozenset[str]

    def completes(self, other: "Granted") -> bool:
        """Whether all that ``other`` asks for is granted."""
        return self.skills >= other.skills and self.infrastructure >= other.infrastructure


class Bundles:
    """The bundles of a case, by model."""

    def __init__(self, case: Case) -> None:
        self._of = {bundle.model: bundle for bundle in case.bundles}

    def price(self, model: DeviceModel) -> float:
        """What one unit costs, with what is paid for its bundle."""
        bundle = self._of.get(model.code)
        return model.price + (bundle.cost if bundle else 0.0)

    def asked(self, model: DeviceModel) -> Granted:
        """What must be there where a unit is bought."""
        bundle = self._of.get(model.code)
        if bundle is None:
            return Granted(frozenset(), frozenset())
        return Granted(frozenset(bundle.skills), frozenset(bundle.infrastructure))

    def grants(
        self, own: Granted, models: Iterable[DeviceModel], purchases: int
    ) -> Iterator[Granted]:
        """Everything that may be worth granting where a method asks for ``own`` itself.

        ``models`` are those that suit one of its needs; of no more than ``purchases`` of them
        a unit is bought, so no more bundles need be complete.
        """
        asked = {self.asked(model) for model in models if model.max_units != 0}
        beyond = sorted(
            (each for each in asked if not own.completes(each)),
            key=lambda each: (sorted(each.skills), sorted(each.infrastructure)),
        )
        found = {own: None}
        for size in range(1, min(purchases, len(beyond)) + 1):
            for chosen in combinations(beyond, size):
                skills = own.skills.union(*(each.skills for each in chosen))
                items = own.infrastructure.union(*(each.infrastructure for each in chosen))
                found[Granted(skills, items)] = None
        yield from found
