"""What the pages of methods and of devices show, in queries whose number does not grow."""

import pytest

from apps.catalogue import selectors
from apps.catalogue.models import DeviceModel, Method
from tests.factories.catalogue import (
    make_consumable,
    make_control,
    make_device_class,
    make_device_model,
    make_limit,
    make_method,
    make_need,
    make_range,
    make_spin,
    make_step,
    make_study,
    make_test,
    make_use,
    sourced,
)


@pytest.fixture
def centrifuge(db):
    return make_device_class("centrifuge", rcf_g="number")


def make_whole_method(code: str, test, centrifuge, parts: int) -> Method:
    """A method with ``parts`` of everything that hangs on it."""
    source = sourced()["source"]
    method = make_method(
        code, test, specificity=0.9, specificity_source=source, specificity_kind="demo"
    )
    for number in range(parts):
        need = make_need(method, centrifuge, rcf_g=("min", 1000))
        spin = make_spin(f"{code}-spin-{number}")
        make_step(method, "spin", spin=spin, need=need)
        make_control(method, ["positive", "negative", "level"][number])
        make_use(method, make_consumable(f"{code}-item-{number}"))
        make_study(f"{code}-study-{number}", method=method)
        make_limit(f"{code}-limit-{number}", method=method)
    return method


def read(method: Method) -> tuple:
    return (
        method.test.name,
        method.specificity_source.title,
        [
            (need.device_class.name, each.attribute.name, each.source.title)
            for need in method.needs.all()
            for each in need.requirements.all()
        ],
        [
            (step.need.device_class.name, step.spin.source.title, step.source.title)
            for step in method.steps.all()
        ],
        [control.source.title for control in method.controls.all()],
        [(use.consumable.source.title, use.source.title) for use in method.consumables.all()],
        [study.source.title for study in method.studies.all()],
    )


@pytest.mark.parametrize("parts", [1, 3])
def test_the_page_of_a_method_is_read_in_as_many_queries_whatever_hangs_on_it(
    centrifuge, django_assert_num_queries, parts
):
    make_whole_method("spun", make_test("haematocrit"), centrifuge, parts)

    with django_assert_num_queries(10):
        page = selectors.method_page("spun")
        shown = read(page.method), page.method.test.programme.name
        limits = [(limit.method.code, limit.source.title) for limit in page.limits]

    assert all(shown)
    assert len(limits) == len(shown[0][3]) == parts


def test_a_method_is_verified_by_limits_of_its_own_of_its_test_and_of_its_devices(centrifuge):
    method = make_whole_method("spun", make_test("haematocrit"), centrifuge, 1)
    other = make_method("other", make_test("urea"))
    make_limit("of-test", test=method.test)
    make_limit("of-class", device_class=centrifuge)
    make_limit("of-another-class", device_class=make_device_class("photometer"))
    make_limit("of-another-method", method=other)
    make_limit("of-another-test", test=other.test)

    limits = selectors.method_page("spun").limits

    assert [limit.code for limit in limits] == ["of-class", "of-test", "spun-limit-0"]


def test_a_method_that_is_not_there_has_no_page(db):
    with pytest.raises(Method.DoesNotExist):
        selectors.method_page("spun")


@pytest.mark.parametrize("count", [1, 3])
def test_the_methods_of_a_test_are_read_in_as_many_queries_however_many(
    centrifuge, django_assert_num_queries, count
):
    test = make_test("haematocrit")
    for number in range(count):
        make_whole_method(f"method-{number}", test, centrifuge, 1)

    with django_assert_num_queries(9):
        rows = [read(method) for method in selectors.test_methods("haematocrit")]

    assert len(rows) == count


def test_the_methods_of_a_test_come_in_the_order_of_what_their_answers_are_good_for(db):
    test = make_test("malaria")
    make_method("elsewhere", make_test("urea"))
    for code, grade in (
        ("a-phone", "investigational"),
        ("b-strip", "screening"),
        ("c-film", "routine"),
        ("d-drop", "routine"),
        ("e-thick", "confirmatory"),
    ):
        make_method(code, test, clinical_grade=grade)

    codes = [method.code for method in selectors.test_methods("malaria")]

    assert codes == ["e-thick", "c-film", "d-drop", "b-strip", "a-phone"]
    assert not selectors.test_methods("none")


def test_a_spin_procedure_comes_with_the_methods_that_follow_it(
    centrifuge, django_assert_num_queries
):
    for code in ("first", "second", "third"):
        make_whole_method(code, make_test(f"test-{code}"), centrifuge, 2)

    with django_assert_num_queries(3):
        found = [
            (
                spin.source.title,
                [
                    (step.method.code, step.method.test.name, each.attribute.code, each.value)
                    for step in spin.steps.all()
                    for each in step.need.requirements.all()
                ],
            )
            for spin in selectors.spin_procedures()
        ]

    assert found[0] == ("x", [("first", "Test-First", "rcf_g", 1000)])
    assert len(found) == 6


@pytest.mark.parametrize("parts", [1, 3])
def test_the_page_of_a_device_is_read_in_as_many_queries_whatever_hangs_on_it(
    db, django_assert_num_queries, parts
):
    classes = [make_device_class(f"class-{n}", rcf_g="number") for n in range(parts)]
    model = make_device_model("spinner", *classes, specs={"rcf_g": 2000})
    for number, device_class in enumerate(classes):
        make_study(f"study-{number}", device_model=model)
        make_limit(f"limit-{number}", device_class=device_class)
        make_range(device_class)

    with django_assert_num_queries(8):
        page = selectors.device_page("spinner")
        titles = [study.source.title for study in page.evidence.studies]
        limits = [(limit.device_class.name, limit.source.title) for limit in page.limits]
        ranges = [(each.device_class.name, each.source.title) for each in page.ranges]

    assert len(titles) == len(limits) == len(ranges) == parts


def test_a_device_that_is_not_there_has_no_page(db):
    with pytest.raises(DeviceModel.DoesNotExist):
        selectors.device_page("spinner")


def test_evidence_shows_the_stated_grade_beside_the_one_that_follows(db):
    model = make_device_model("spinner", evidence="B")
    make_study("bench", device_model=model, setting="laboratory")

    found = selectors.evidence_of(model)

    assert (found.stated, found.supported, found.differs) == ("B", "C", True)
    assert [study.code for study in found.studies] == ["bench"]
    assert found.missing == (
        "approval in the country, or 2 independent field evaluations against a reference,"
        " with 100 people or more in each class and limits set beforehand kept",
    )


def test_a_study_in_the_field_with_its_users_lifts_an_approved_model_to_a(db):
    model = make_device_model("spinner", evidence="A", approval="local")
    make_study("field", device_model=model, intended_users=True)

    found = selectors.evidence_of(model)

    assert (found.supported, found.differs, found.missing) == ("A", False, ())
