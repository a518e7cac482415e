"""Which questions of version 2 a case asks."""

import pytest

from planner.engine.allocation.features import features_of, is_coupled
from tests.factories.cases import (
    bundle,
    case,
    device_model,
    fixed,
    least_money,
    limits,
    minimum_set,
    move,
    site,
    worst_first,
)
from tests.factories.results import three_sites


def test_a_case_of_version_1_asks_nothing_of_version_2():
    assert features_of(three_sites()) == frozenset()


def test_a_case_of_version_2_with_neutral_values_asks_nothing_either():
    assert features_of(case(device_models=[device_model("spinner")])) == frozenset()


ASKED = {
    "max_units": {"device_models": [device_model("spinner", max_units=0)]},
    "uptime": {"device_models": [device_model("spinner", uptime=0.9)]},
    "repair_success": {"device_models": [device_model("spinner", repair_success=0.9)]},
    "supervised_share": {"limits": limits(supervised_share=0.5)},
    "fixed": {
        "device_models": [device_model("spinner")],
        "fixed": [fixed("hill", "buy", "spinner", at_most=0)],
    },
}
ASKED |= {
    "models_per_class": {"limits": limits(models_per_class={"bath": 1})},
    "bundles": {
        "device_models": [device_model("spinner")],
        "bundles": [bundle("spinner")],
    },
    "moves": {
        "device_models": [device_model("spinner")],
        "sites": [site("hill"), site("lake")],
        "moves": [move("hill", "lake", "spinner")],
    },
}
ASKED |= {
    "minimum_sets": {"minimum_sets": [minimum_set("basics", [])]},
    "least_money": {"aim": least_money()},
    "worst_first": {"aim": worst_first()},
}
COUPLED = {"models_per_class", "moves", "minimum_sets", "least_money", "worst_first"}


@pytest.mark.parametrize(("feature", "given"), ASKED.items(), ids=ASKED)
def test_each_question_is_a_feature_of_its_own(feature, given):
    assert features_of(case(**given)) == {feature}
    assert is_coupled(case(**given)) == (feature in COUPLED)
