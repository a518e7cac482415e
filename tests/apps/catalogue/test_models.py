"""What the tables refuse, and what follows from what they hold."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from apps.catalogue.models import Method, Need, Study
from tests.factories.catalogue import (
    make_consumable,
    make_device_class,
    make_device_model,
    make_limit,
    make_method,
    make_range,
    make_spin,
    make_step,
    make_study,
    make_test,
    make_use,
    sourced,
)


@pytest.fixture
def method(db) -> Method:
    return make_method("spun", make_test("haematocrit"))


@pytest.mark.parametrize(
    ("batch", "per_batch", "per_sample", "hours"),
    [
        (1, 0, 4, 0.0667),
        (20, 20, 2, 0.05),
        (20, 20, 0, 0.0167),
        (1, 20, 2, 0.3667),
        (12, 0, 0, 0),
    ],
)
def test_the_staff_hours_of_a_test_are_its_share_of_a_batch_and_its_own_minutes(
    batch, per_batch, per_sample, hours
):
    method = Method(batch_size=batch, minutes_per_batch=per_batch, minutes_per_sample=per_sample)

    assert method.staff_hours == hours


@pytest.mark.parametrize(
    ("minutes", "samples", "hours"), [(10, 8, 0.0208), (10, 1, 0.1667), (0, 1, 0), (80, 1, 1.3333)]
)
def test_the_machine_hours_of_a_test_are_its_share_of_a_run(minutes, samples, hours):
    assert Need(minutes_per_run=minutes, samples_per_run=samples).hours == hours


@pytest.mark.parametrize("field", ["batch_size"])
def test_a_batch_of_nothing_is_refused(method, field):
    setattr(method, field, 0)

    with pytest.raises(IntegrityError, match="a_batch_holds_a_sample"):
        method.save()


@pytest.mark.parametrize(
    "half",
    [
        {"specificity": 0.9},
        {"specificity_kind": "published"},
        {"specificity": 0.9, "specificity_kind": "published"},
    ],
)
def test_a_specificity_without_its_source_or_its_kind_is_refused(method, half):
    for name, value in half.items():
        setattr(method, name, value)

    with pytest.raises(IntegrityError, match="a_known_specificity_has_its_source"):
        method.save()


def test_a_specificity_with_its_source_and_kind_is_kept(method):
    method.specificity, method.specificity_kind = 0.9, "published"
    method.specificity_source = sourced()["source"]

    method.save()
    method.refresh_from_db()

    assert (method.specificity, method.specificity_source.code) == (0.9, "demo")


def test_only_a_force_has_a_radius(db):
    attribute = make_device_class("centrifuge", mass_g="number").attributes.get()
    attribute.ucum, attribute.radius = "g", "r_max"

    with pytest.raises(ValidationError) as refusal:
        attribute.validate_constraints()

    assert refusal.value.messages == ["Only a force, in [g], is stated at a radius."]
    attribute.ucum = "[g]"
    attribute.validate_constraints()


@pytest.mark.parametrize("rcf_g", [(2000, 1000), (1000, None), (None, 1000)])
def test_a_spin_gives_both_its_forces_in_order_or_neither(db, rcf_g):
    with pytest.raises(IntegrityError, match="a_spin_states_its_lower_force_first"):
        make_spin(rcf_g=rcf_g)


def test_a_spin_may_leave_its_force_unknown(db):
    assert make_spin(rcf_g=(None, None)).rcf_g_low is None


def test_a_spin_states_its_shorter_time_first(db):
    with pytest.raises(IntegrityError, match="a_spin_states_its_shorter_time_first"):
        make_spin(minutes_low=10.1)


def test_only_a_step_that_spins_follows_a_spin_procedure(method):
    with pytest.raises(IntegrityError, match="only_a_spin_follows_a_spin_procedure"):
        make_step(method, "read", spin=make_spin())


@pytest.mark.parametrize("subjects", [(), ("method", "test"), ("device_class", "method")])
def test_a_limit_is_for_one_of_class_method_and_test(method, subjects):
    known = {"method": method, "test": method.test, "device_class": make_device_class("centrifuge")}

    with pytest.raises(IntegrityError, match="a_limit_is_for_a_class_a_method_or_a_test"):
        make_limit("limit", **{name: known[name] for name in subjects})


@pytest.mark.parametrize("ends", [(None, None), (1, -1)])
def test_a_limit_has_an_end_and_the_lower_first(method, ends):
    with pytest.raises(IntegrityError, match="a_limit_has_an_end"):
        make_limit("limit", method=method, low=ends[0], high=ends[1])


@pytest.mark.parametrize("ends", [(None, 1), (-1, None), (1, 1)])
def test_a_limit_of_one_end_or_of_a_single_value_is_kept(method, ends):
    assert make_limit("limit", method=method, low=ends[0], high=ends[1]).pk


@pytest.mark.parametrize("both", [True, False])
def test_a_study_is_of_a_model_or_of_a_method(method, both):
    model = make_device_model("spinner")
    subjects = {"method": method, "device_model": model} if both else {}

    with pytest.raises(IntegrityError, match="a_study_is_of_a_model_or_of_a_method"):
        make_study("study", **subjects)


@pytest.mark.parametrize("name", ["sensitivity", "specificity"])
@pytest.mark.parametrize("figures", [(0.9, 0.91, 0.95), (0.96, 0.91, 0.95), (0.9, 0.8, None),
                                     (None, 0.9, 0.8)])  # fmt: skip
def test_a_figure_outside_its_interval_is_refused(method, name, figures):
    names = (name, f"{name}_low", f"{name}_high")

    with pytest.raises(IntegrityError, match=f"a_{name}_lies_in_its_interval"):
        make_study("study", method=method, **dict(zip(names, figures, strict=True)))


@pytest.mark.parametrize("figures", [(0.91, 0.91, 0.95), (0.95, 0.91, 0.95), (None, 0.8, 0.9),
                                     (0.9, None, None)])  # fmt: skip
def test_a_figure_at_the_end_of_its_interval_or_without_one_is_kept(method, figures):
    names = ("sensitivity", "sensitivity_low", "sensitivity_high")

    assert make_study("study", method=method, **dict(zip(names, figures, strict=True))).pk


@pytest.mark.parametrize(
    ("counts", "stated", "smaller"),
    [
        ((45, 5, 90, 10), None, 50),
        ((90, 10, 45, 4), None, 49),
        ((45, 5, 90, 10), 30, 30),
        ((45, 5, 90, None), None, None),
    ],
)
def test_the_smaller_class_of_a_study_is_as_stated_or_as_counted(counts, stated, smaller):
    names = ("true_positive", "false_negative", "true_negative", "false_positive")

    study = Study(**dict(zip(names, counts, strict=True)), smallest_class=stated)

    assert study.smaller_class == smaller


def test_a_planning_range_starts_below_its_end(db):
    with pytest.raises(IntegrityError, match="a_planning_range_starts_below_its_end"):
        make_range(make_device_class("centrifuge"), low=2, high=1)


def test_rows_say_what_they_are(method):
    device_class = make_device_class("centrifuge")
    consumable = make_consumable("capillary")

    assert [
        str(each)
        for each in (
            make_step(method, "read"),
            make_use(method, consumable, 2),
            make_range(device_class, low=500, high=2500),
            make_limit("limit", device_class=device_class),
            make_study("study", method=method),
        )
    ] == [
        "spun, step 1: Read",
        "spun: 2 Capillary",
        "centrifuge: price 500 to 2500",
        "limit",
        "study",
    ]
