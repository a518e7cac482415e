"""Models of the catalogue against needs of the catalogue, with no district in between."""

import pytest

from apps.coverage.adapters.suiting import lives_years, methods_against, models_against
from planner.engine.matching import Verdict
from tests.factories.catalogue import (
    make_device_class,
    make_device_model,
    make_method,
    make_need,
    make_range,
    make_test,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def centrifuge():
    return make_device_class("centrifuge", rcf_g="number")


@pytest.fixture
def spun(centrifuge):
    method = make_method("spun", make_test("haematocrit"))
    make_need(method, centrifuge, rcf_g=("min", 1000))
    return method


def test_models_are_held_against_the_needs_of_their_class_only(centrifuge, spun):
    make_need(spun, make_device_class("reader"))
    for code, specs in (("b", {"rcf_g": 1000}), ("a", {"rcf_g": 999}), ("c", {})):
        make_device_model(code, centrifuge, specs=specs)

    found = models_against("spun")

    assert [(held.position, held.model.code, held.verdict) for held in found] == [
        (1, "a", Verdict.NOT_MET),
        (1, "b", Verdict.MET),
        (1, "c", Verdict.UNKNOWN),
    ]


def test_reasons_name_the_attribute_as_people_call_it(centrifuge, spun):
    centrifuge.attributes.update(name="Greatest force")
    make_device_model("weak", centrifuge, specs={"rcf_g": 999})

    [held] = models_against("spun")

    [reason] = held.reasons
    plain = reason.replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert plain == "Greatest force: needs at least 1 000 g, reaches 999 g"
    assert held.settle == ()


def test_a_model_is_held_against_every_method_even_one_that_is_never_counted(centrifuge, spun):
    trial = make_method("trial", make_test("trial"), clinical_grade="investigational")
    make_need(trial, centrifuge, rcf_g=("min", 5000))
    make_device_model("bench", centrifuge, specs={"rcf_g": 2000})

    found = methods_against("bench")

    assert [(held.method, held.test_name, held.verdict) for held in found] == [
        ("spun", "Haematocrit", Verdict.MET),
        ("trial", "Trial", Verdict.NOT_MET),
    ]


def test_what_is_not_in_the_catalogue_is_held_against_nothing(centrifuge, spun):
    assert (models_against("nothing"), methods_against("nothing")) == ((), ())


def test_the_life_of_a_class_is_that_of_its_usual_kind(centrifuge):
    make_range(centrifuge, "life_years", 7, 10)
    printed = make_range(make_device_class("other"), "life_years", 0.1, 3)
    printed.device_class, printed.variant = centrifuge, "printed"
    printed.save()

    assert lives_years() == {"centrifuge": (7, 10)}


def test_a_class_without_a_usual_kind_has_the_range_of_all_its_kinds(centrifuge):
    for variant, low, high in (("printed", 0.1, 3), ("bench", 7, 10)):
        made = make_range(make_device_class(variant), "life_years", low, high)
        made.device_class, made.variant = centrifuge, variant
        made.save()

    assert lives_years() == {"centrifuge": (0.1, 10)}


@pytest.mark.parametrize("count", [1, 3])
def test_holding_takes_as_many_queries_for_three_models_as_for_one(
    centrifuge, spun, django_assert_num_queries, count
):
    for number in range(count):
        make_device_model(f"model-{number}", centrifuge, specs={"rcf_g": 100})

    with django_assert_num_queries(8):
        found = models_against("spun")

    assert len(found) == count
