"""Which questions of version 2 a case asks: what a way of solving must know to be used."""

from typing import Literal

from planner.engine.case import Case

Feature = Literal[
    "max_units",
    "uptime",
    "repair_success",
    "supervised_share",
    "fixed",
    "bundles",
    "moves",
    "models_per_class",
    "minimum_sets",
    "least_money",
    "worst_first",
]

COUPLING: frozenset[Feature] = frozenset(
    {"moves", "models_per_class", "minimum_sets", "least_money", "worst_first"}
)
"""Features that tie sites together beyond money, trainer days, floors and links."""


def features_of(case: Case) -> frozenset[Feature]:
    """The features of version 2 that make a difference in ``case``; none in version 1."""
    models = case.device_models
    asked: dict[Feature, bool] = {
        "max_units": any(model.max_units is not None for model in models),
        "uptime": any(model.uptime < 1 for model in models),
        "repair_success": any(model.repair_success < 1 for model in models),
        "supervised_share": case.limits.supervised_share < 1,
        "fixed": bool(case.fixed),
        "bundles": bool(case.bundles),
        "moves": bool(case.moves),
        "models_per_class": bool(case.limits.models_per_class),
        "minimum_sets": bool(case.minimum_sets),
        "least_money": case.aim.kind == "least_money",
        "worst_first": case.aim.kind == "worst_first",
    }
    return frozenset(feature for feature, is_asked in asked.items() if is_asked)


def is_coupled(case: Case) -> bool:
    """Whether a feature of ``case`` ties sites together in a way that version 1 does not know."""
    return bool(features_of(case) & COUPLING)
