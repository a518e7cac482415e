"""One possible future of a case, the same for ever for the same seed and number.

Each quantity of each draw has a random stream of its own, spawned from the seed by the
number of the draw and of the quantity. So a draw is the same whichever others are made, in
whichever process, and all plans are judged by the same futures (common random numbers).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.robustness.assumptions import Assumptions
from planner.engine.asking import MOST
from planner.engine.case import Case, Stock

_DAYS_OF_A_YEAR = 365.0


class Quantity(IntEnum):
    """What has a stream of its own; numbers must stay, or draws change."""

    PRICE = 0
    REPAIR_COST = 1
    TRAINING_COST = 2
    INFRASTRUCTURE_COST = 3
    CONSUMABLES = 4
    DEMAND_OF_TEST = 5
    DEMAND_OF_SITE = 6
    BREAKDOWN = 7
    REPAIR = 8
    INTERRUPTION = 9


@dataclass(frozen=True)
class Draw:
    """A future: the case as it would have been stated by somebody who knew it.

    ``case`` has as many broken units as can be repaired, with certainty. ``repairs`` says of
    each (site, model) with broken units whether the repair of each succeeds, in the order in
    which they would be tried: those broken already today first.
    """

    number: int
    case: Case
    repairs: Mapping[tuple[str, str], tuple[bool, ...]]


def draw(case: Case, assumptions: Assumptions, *, seed: int, number: int) -> Draw:
    """Future ``number`` of ``case``. The order of its lists makes no difference.

    Floors of areas, minimum sets and the aim are set aside: a future is judged by the
    worth of all tests. What the case demands to be done is only allowed.
    """
    streams = _Streams(case, assumptions, seed, number)
    stock, repairs = streams.stock()
    drawn = case.model_copy(
        update={
            "areas": tuple(area.model_copy(update={"floor": 0.0}) for area in case.areas),
            "aim": MOST,
            "minimum_sets": (),
            "fixed": tuple(each.model_copy(update={"at_least": 0}) for each in case.fixed),
            "stock": stock,
            **streams.priced(),
            **streams.demanded(),
        }
    )
    return Draw(number, drawn, repairs)


class _Streams:
    def __init__(self, case: Case, assumptions: Assumptions, seed: int, number: int) -> None:
        self.case, self.assumptions = case, assumptions
        self._seed, self._number = seed, number

    def _stream(self, quantity: Quantity) -> np.random.Generator:
        key = (self._number, int(quantity))
        return np.random.default_rng(np.random.SeedSequence(self._seed, spawn_key=key))

    def _factors(self, quantity: Quantity, codes: Sequence[str], spread: float) -> dict[str, float]:
        """By code, a lognormal factor with mean 1; 1 where there is no spread."""
        normal = self._stream(quantity).standard_normal(len(codes))
        factors: Floats = np.exp(spread * normal - spread**2 / 2)
        return dict(zip(sorted(codes), factors.tolist(), strict=True))

    def priced(self) -> dict[str, object]:
        """The lists of the case that have prices, with those of this future."""
        case, spread = self.case, self.assumptions.prices
        models = [model.code for model in case.device_models]
        price = self._factors(Quantity.PRICE, models, spread)
        repair = self._factors(Quantity.REPAIR_COST, models, spread)
        training = self._factors(Quantity.TRAINING_COST, [s.code for s in case.skills], spread)
        items = [item.code for item in case.infrastructure]
        provided = self._factors(Quantity.INFRASTRUCTURE_COST, items, spread)
        methods = [method.code for method in case.methods]
        consumed = self._factors(Quantity.CONSUMABLES, methods, spread)
        return {
            "device_models": tuple(
                model.model_copy(
                    update={
                        "price": model.price * price[model.code],
                        "annual_cost": model.annual_cost * price[model.code],
                        "repair_cost": model.repair_cost * repair[model.code],
                        "repair_success": 1.0,
                    }
                )
                for model in case.device_models
            ),
            "bundles": tuple(
                bundle.model_copy(update={"cost": bundle.cost * price[bundle.model]})
                for bundle in case.bundles
            ),
            "skills": tuple(
                skill.model_copy(
                    update={"training_cost": skill.training_cost * training[skill.code]}
                )
                for skill in case.skills
            ),
            "infrastructure": tuple(
                item.model_copy(
                    update={
                        "cost": {
                            level: cost * provided[item.code] for level, cost in item.cost.items()
                        }
                    }
                )
                for item in case.infrastructure
            ),
            "methods": tuple(
                method.model_copy(
                    update={"consumable_cost": method.consumable_cost * consumed[method.code]}
                )
                for method in case.methods
            ),
        }

    def demanded(self) -> dict[str, object]:
        """The sites with what their people will have asked for while supplies were there."""
        case, assumed = self.case, self.assumptions
        tests = [test.code for test in case.tests]
        by_test = self._factors(Quantity.DEMAND_OF_TEST, tests, assumed.demand_of_test)
        sites = [site.code for site in case.sites]
        by_site = self._factors(Quantity.DEMAND_OF_SITE, sites, assumed.demand_of_site)
        stream = self._stream(Quantity.INTERRUPTION)
        struck = stream.random(len(tests)) < assumed.interruption
        days = struck * assumed.interruption_days * stream.exponential(size=len(tests))
        supplied = 1 - np.minimum(1.0, days / _DAYS_OF_A_YEAR)
        share = dict(zip(sorted(tests), supplied.tolist(), strict=True))
        return {
            "sites": tuple(
                site.model_copy(
                    update={
                        "demand": {
                            test: asked * by_test[test] * by_site[site.code] * share[test]
                            for test, asked in site.demand.items()
                        }
                    }
                )
                for site in case.sites
            )
        }

    def stock(self) -> tuple[tuple[Stock, ...], dict[tuple[str, str], tuple[bool, ...]]]:
        """Units that still work and broken ones that can be repaired; what each repair does."""
        assumed = self.assumptions
        stated = {model.code: model.repair_success for model in self.case.device_models}
        failing, mending = self._stream(Quantity.BREAKDOWN), self._stream(Quantity.REPAIR)
        stock, repairs = [], {}
        for entry in sorted(self.case.stock, key=lambda each: (each.site, each.model)):
            success = min(stated[entry.model], 1.0)
            success = assumed.repair_success if success == 1 else success
            fail = failing.random(entry.working) < assumed.breakdown
            broken = entry.broken + int(fail.sum())
            mended = mending.random(entry.working + entry.broken)[:broken] < success
            if broken:
                repairs[entry.site, entry.model] = tuple(mended.tolist())
            known = {"working": entry.working - int(fail.sum()), "broken": int(mended.sum())}
            stock.append(entry.model_copy(update=known))
        return tuple(stock), repairs
