"""Readings as people paste them, and what each kind of them says of limits and of the device."""

import pytest

from apps.catalogue.models import MethodStep
from apps.inventory.adapters import Readings, ReadingsError, compute, parse_readings, sets_for
from apps.inventory.exports import readings_csv
from planner.engine.errors import InputError
from tests.factories.catalogue import (
    make_device_class,
    make_device_model,
    make_limit,
    make_method,
    make_need,
    make_test,
    sourced,
)
from tests.factories.facilities import make_district, make_facility
from tests.factories.inventory import make_item
from tests.factories.verifying import pairs, verify

PAIRS = Readings(("device", "reference"), ((12.5, 12.0), (13.0, 13.1)))


@pytest.mark.parametrize(
    "text",
    [
        "12.5\t12.0\n13\t13.1",
        "12.5 12.0\n13 13.1",
        "12.5, 12.0\r\n13,13.1\r\n",
        "12.5; 12.0\n\n13 ; 13.1\n",
        "Device\tReference\n12.5\t12.0\n13\t13.1",
        "device,reference\n12.5,12\n1.3e1,+13.10",
    ],
)
def test_columns_are_read_however_they_are_parted(text):
    assert parse_readings("paired", text) == PAIRS


@pytest.mark.parametrize(
    ("kind", "text", "problems"),
    [
        (
            "paired",
            " \n",
            ["expected rows of device, reference, repeat (may be left out), found none"],
        ),
        (
            "paired",
            "1 2\n3",
            ["row 2: expected 2 values (device, reference), found 1. Write decimals with a point"],
        ),
        (
            "paired",
            "12,5\t13,1",
            [
                "row 1, device: expected a number such as 12.5, found '12,5'",
                "row 1, reference: expected a number such as 12.5, found '13,1'",
            ],
        ),
        ("paired", "1\t\n2\t3", ["row 1, reference: expected a number such as 12.5, found ''"]),
        (
            "paired",
            "1 nan\n2 inf",
            [
                "row 1, reference: expected a number such as 12.5, found 'nan'",
                "row 2, reference: expected a number such as 12.5, found 'inf'",
            ],
        ),
        (
            "paired",
            "1 2 3\n1 2",
            [
                "row 2: expected 3 values (device, reference, repeat), found 2. "
                "Write decimals with a point"
            ],
        ),
        ("yes_no", "yes maybe", ["row 1, reference: expected yes or no, found 'maybe'"]),
        (
            "spin",
            "1 2 3 4",
            ["row 1: expected 3 values (run, seconds, rpm), found 4. Write decimals with a point"],
        ),
    ],
)
def test_each_row_that_cannot_be_read_is_named(kind, text, problems):
    with pytest.raises(ReadingsError) as refusal:
        parse_readings(kind, text)

    assert list(refusal.value.problems) == problems


def test_of_many_mistakes_the_first_twenty_are_named_and_the_rest_counted():
    with pytest.raises(ReadingsError) as refusal:
        parse_readings("paired", "x 1\n" * 23)

    assert len(refusal.value.problems) == 21
    assert refusal.value.problems[-1] == "and 3 more of the kind"


@pytest.mark.parametrize(
    ("text", "said"),
    [("1 2\n" * 5001, "expected at most 5000 rows, found 5001"),
     ("1" * 200_001, "the readings are longer than 200000 characters")],
)  # fmt: skip
def test_more_than_anybody_measures_is_refused(text, said):
    with pytest.raises(ReadingsError, match=said):
        parse_readings("paired", text)


def test_yes_and_no_have_many_names():
    found = parse_readings("yes_no", "pos neg\n+ -\n1 0\nReactive non-reactive\nyes NO")

    assert found.rows == ((1.0, 0.0),) * 5


def test_a_column_that_may_be_left_out_is_read_where_it_is_there():
    assert parse_readings("spin", "0 100\n9 100").columns == ("seconds", "rpm")
    assert parse_readings("spin", "1 0 100\n1 9 100").columns == ("run", "seconds", "rpm")
    assert parse_readings("paired", "1 2 3").column("repeat") == [3.0]


# Limits.


@pytest.fixture
def meter(db):
    meters = make_device_class("meter", cv_pct="number", temp_tolerance_c="number")
    method = make_method("metered", make_test("glucose"))
    make_need(method, meters)
    return make_item(make_facility("hill", make_district()), make_device_model("meter", meters))


def iso(method) -> None:
    given = {"method": method, "rule": "iso", "analyte": "glucose", "low": -15, "high": 15,
             "share_within": 0.95, "range_ucum": "mg/dL"}  # fmt: skip
    make_limit("low", measure="total_error", ucum="mg/dL", range_high=100, **given)
    make_limit("high", measure="total_error_pct", ucum="%", range_low=100, **given)


def metered(meter):
    return meter.device_model.served_classes.get().device_class.needs.get().method


def test_limits_are_found_for_the_class_the_method_and_the_test(meter):
    device_class = meter.device_model.served_classes.get().device_class
    make_limit("c", device_class=device_class)
    make_limit("m", method=metered(meter))
    make_limit("t", test=metered(meter).test)
    make_limit("elsewhere", method=make_method("other", make_test("other")))

    found = [(each.subject_kind, each.subject) for each in sets_for(meter.device_model)]

    assert found == [("device_class", "meter"), ("method", "metered"), ("test", "glucose")]


def test_a_device_answers_for_a_test_only_where_it_measures_or_reads(meter):
    method = metered(meter)
    make_limit("t", test=method.test)
    step = MethodStep.objects.create(
        method=method, position=1, kind="prepare", text="Warm", need=method.needs.get(), **sourced()
    )
    assert sets_for(meter.device_model) == []

    step.kind = "measure"
    step.save()

    assert [each.subject for each in sets_for(meter.device_model)] == ["glucose"]


@pytest.mark.parametrize(("wrong", "outcome"), [(1, "pass"), (2, "fail")])
def test_of_twenty_results_nineteen_must_be_within_the_wider_band(meter, wrong, outcome):
    """ISO 15197:2013: 95 % within 15 mg/dL below 100 mg/dL, within 15 % from there on."""
    iso(metered(meter))
    rows = [(80 + 15.0, 80), (120 + 18.0, 120)] * 10
    rows[:wrong] = [(80 + 15.1, 80)] * wrong
    text = "\n".join(f"{device} {reference}" for device, reference in rows)

    made = verify(meter, text, kind="paired", rule="iso", reference="laboratory")

    assert made.outcome == outcome
    [check] = made.figures["checks"]
    assert check["found"] == 100 * (20 - wrong) / 20


def test_a_limit_for_a_range_hears_only_the_specimens_in_it(meter):
    device_class = meter.device_model.served_classes.get().device_class
    make_limit(
        "high", device_class=device_class, rule="r", ucum="g", range_low=50, minimum_samples=2
    )

    made = verify(meter, "10 20\n100 100\n101 100", kind="paired", rule="r")
    few = verify(meter, "10 20\n100 100", kind="paired", rule="r")

    assert made.figures["checks"][0]["found"] == 0.5
    assert (made.outcome, few.outcome) == ("pass", "not_enough")


def test_duplicates_give_the_variation_of_the_device(meter):
    device_class = meter.device_model.served_classes.get().device_class
    make_limit("cv", device_class=device_class, rule="r", measure="cv_pct", low=None, high=5)

    made = verify(meter, "10 10 11\n20 20 20", kind="paired", rule="r")

    assert made.measured["cv_pct"] == pytest.approx(100 * 0.5 / 15.25)
    assert made.outcome == "pass"


def test_a_block_that_is_off_is_off_by_its_worst_reading(meter):
    device_class = meter.device_model.served_classes.get().device_class
    make_limit(
        "block", device_class=device_class, rule="r", measure="temperature_error_cel", low=-1,
        high=1, ucum="Cel",
    )  # fmt: skip

    made = verify(meter, "37 37.4\n56 54.9", kind="temperature", rule="r")

    assert made.outcome == "fail"
    assert made.measured == {"temp_tolerance_c": pytest.approx(1.1)}


def test_an_analyte_that_the_limits_tell_apart_is_held_against_its_own(meter):
    test = metered(meter).test
    for analyte, high in (("k", 0.3), ("na", 4)):
        make_limit(
            analyte, test=test, rule="r", measure="total_error", low=-high, high=high,
            ucum="mmol/L", analyte=analyte,
        )  # fmt: skip
    text = "\n".join(f"{value + 1} {value}" for value in range(130, 150))

    outcomes = {
        analyte: verify(meter, text, kind="paired", rule="r", analyte=analyte).outcome
        for analyte in ("k", "na")
    }

    assert outcomes == {"k": "fail", "na": "pass"}


def test_readings_that_no_limit_speaks_of_are_refused(meter):
    make_limit("m", method=metered(meter), rule="r")
    [limits] = sets_for(meter.device_model)

    with pytest.raises(InputError) as refusal:
        compute("timer", parse_readings("timer", "60 61"), limits)

    assert refusal.value.problems == ("limits: those of r say nothing about such readings",)


@pytest.mark.parametrize(("n", "outcome"), [(19, "not_enough"), (20, "pass")])
def test_a_comparison_takes_twenty_specimens_where_its_limit_says_no_number(meter, n, outcome):
    """20 to 40 specimens: common practice of method verification, no source."""
    make_limit("m", method=metered(meter), rule="r")

    assert verify(meter, pairs(n), kind="paired", rule="r").outcome == outcome


@pytest.mark.parametrize(
    ("positive", "negative", "outcome"),
    [(20, 50, "pass"), (19, 50, "not_enough"), (20, 49, "not_enough")],
)
def test_yes_and_no_take_twenty_positives_and_fifty_negatives(meter, positive, negative, outcome):
    for measure in ("sensitivity", "specificity"):
        make_limit(measure, method=metered(meter), rule="r", measure=measure, low=0.9, high=None)
    text = "+ +\n" * positive + "- -\n" * negative

    assert verify(meter, text, kind="yes_no", rule="r").outcome == outcome


def test_limits_in_two_units_for_the_same_readings_are_refused(meter):
    for code, unit in (("a", "g/dL"), ("b", "g/L")):
        make_limit(code, method=metered(meter), rule="r", ucum=unit)
    [limits] = sets_for(meter.device_model)

    with pytest.raises(InputError) as refusal:
        compute("paired", PAIRS, limits)

    assert refusal.value.problems == (
        "limits: r has limits in g/L and g/dL for the same readings. Part them in the catalogue",
    )


def test_a_file_of_readings_says_what_was_read(meter):
    make_limit("m", method=metered(meter), rule="r")
    make_limit("s", method=metered(meter), rule="p", measure="sensitivity", low=0.5, high=None)

    amounts = verify(meter, pairs(2), kind="paired", rule="r")
    answers = verify(meter, "+ -\n- +", kind="yes_no", rule="p")

    assert readings_csv(amounts) == "\ufeffdevice,reference\r\n20.5,20.0\r\n20.5,21.0\r\n"
    assert readings_csv(answers) == "\ufeffdevice,reference\r\nyes,no\r\nno,yes\r\n"
