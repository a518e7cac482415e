"""Methods that are investigational are in no case, whatever else they offer."""

import pytest

from apps.coverage.adapters.catalogue import methods
from tests.factories.catalogue import make_device_class, make_method, make_need, make_test


@pytest.fixture
def smear(db):
    return make_method("smear", make_test("malaria"), sensitivity=0.88, staff_hours=0.15)


@pytest.mark.parametrize("grade", ["confirmatory", "routine", "screening"])
def test_a_method_in_use_is_in_the_case(smear, grade):
    smear.clinical_grade = grade
    smear.save()

    assert [method.code for method in methods()] == ["smear"]


def test_an_investigational_method_is_not(smear):
    make_method("phone", smear.test, sensitivity=0.99, clinical_grade="investigational")

    assert [method.code for method in methods()] == ["smear"]


def test_hours_in_a_case_follow_from_batches_and_runs(smear):
    """20 minutes for a batch of 10 and 7 for each sample; 24 minutes of spinning for 12."""
    smear.batch_size, smear.minutes_per_batch, smear.minutes_per_sample = 10, 20, 7
    smear.save()
    need = make_need(smear, make_device_class("centrifuge", rcf_g="number"))
    need.minutes_per_run, need.samples_per_run = 24, 12
    need.save()

    [method] = methods()

    assert (method.staff_hours, [need.hours for need in method.needs]) == (0.15, [0.0333])
