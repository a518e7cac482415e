"""How well a site tests: its methods at the prevalence there, against better ones in reach."""

import pytest

from apps.catalogue.models import Study
from apps.coverage.models import Assessment, Document, Finding
from apps.coverage.selectors.accuracy import accuracy_at
from apps.coverage.selectors.ways import ways_from
from tests.factories.catalogue import make_method, make_test, sourced
from tests.factories.demand import make_prevalence
from tests.factories.facilities import make_block, make_district, make_facility, make_route
from tests.factories.inventory import make_demand


@pytest.fixture
def hill(db):
    return make_facility("hill", make_block("upper", make_district("north")))


@pytest.fixture
def hub(hill):
    return make_facility("hub", hill.area)


@pytest.fixture
def malaria(db):
    return make_test("malaria", max_transport_hours=24)


@pytest.fixture
def assessment(hill):
    document = Document.objects.create(sha256="a" * 64, content=b"")
    return Assessment.objects.create(area=hill.area.parent, case=document)


def strip(malaria, **values):
    return make_method("strip", malaria, **{"sensitivity": 0.8, "consumable_cost": 1, **values})


def runs(assessment, site, method):
    return Finding.objects.create(
        assessment=assessment,
        facility=site,
        test=method.test,
        state="runs",
        method_code=method.code,
    )


def here(site, assessment):
    return accuracy_at(site, assessment, ways_from(site))


def study(method, **figures):
    return Study.objects.create(code=f"{method.code}-study", method=method, **figures, **sourced())


def known_specificity(method, share):
    method.specificity, method.specificity_kind = share, "demo"
    method.specificity_source = method.source
    method.save()


def test_what_a_method_finds_and_misses_follows_from_the_prevalence_of_the_site(
    hill, malaria, assessment
):
    """1000 tests, a fifth have it: 200 × 0.2 missed, 800 × 0.1 false alarms, 160 of 240 right."""
    method = strip(malaria)
    known_specificity(method, 0.9)
    runs(assessment, hill, method)
    make_demand(hill, malaria, 1000)
    make_prevalence(malaria, 0.2)

    [found] = here(hill, assessment)

    assert (found.method.code, found.tests_per_year) == ("strip", 1000)
    assert (found.missed, found.false_alarms) == pytest.approx((40, 80))
    assert found.positive_is_right.value == pytest.approx(160 / 240)
    assert found.negative_is_right.value == pytest.approx(720 / 760)
    assert not found.positive_is_right.has_interval


def test_without_a_specificity_no_result_is_said_to_be_right(hill, malaria, assessment):
    runs(assessment, hill, strip(malaria))
    make_demand(hill, malaria, 1000)
    make_prevalence(malaria, 0.2)

    [found] = here(hill, assessment)

    assert found.specificity.value is None
    assert (found.positive_is_right.value, found.negative_is_right.value) == (None, None)
    assert (found.missed, found.false_alarms) == (pytest.approx(40), None)


@pytest.mark.parametrize("lacking", ["prevalence", "demand"])
def test_without_a_prevalence_or_a_demand_nobody_knows_what_is_missed(
    hill, malaria, assessment, lacking
):
    runs(assessment, hill, strip(malaria))
    if lacking == "demand":
        make_prevalence(malaria, 0.2)
    else:
        make_demand(hill, malaria, 1000)

    [found] = here(hill, assessment)

    assert (found.missed, found.false_alarms) == (None, None)


def test_the_interval_is_that_of_the_study_with_just_these_figures(hill, malaria, assessment):
    method = strip(malaria)
    known_specificity(method, 0.9)
    runs(assessment, hill, method)
    study(
        method,
        sensitivity=0.8,
        sensitivity_low=0.7,
        sensitivity_high=0.87,
        specificity=0.95,
        specificity_low=0.9,
        specificity_high=0.97,
    )

    [found] = here(hill, assessment)

    assert (found.sensitivity.low, found.sensitivity.high) == (0.7, 0.87)
    assert not found.specificity.has_interval


def test_a_more_sensitive_method_at_a_site_in_reach_and_in_the_catalogue_is_named(
    hill, hub, malaria, assessment
):
    """200 of 1000 have it: 40 missed here, 20 at the hub for 3 more a test, 2 by the best."""
    runs(assessment, hill, strip(malaria))
    smear = make_method("smear", malaria, sensitivity=0.9, consumable_cost=4)
    make_method("best", malaria, sensitivity=0.99, consumable_cost=20)
    trial = make_method("trial", malaria, sensitivity=1.0)
    trial.clinical_grade = "investigational"
    trial.save()
    runs(assessment, hub, smear)
    make_route(hill, hub, hours=24)
    make_demand(hill, malaria, 1000)
    make_prevalence(malaria, 0.2)

    [found] = here(hill, assessment)

    assert [
        (rival.method.code, rival.site, rival.missed, rival.fewer_missed, rival.cost_per_extra_case)
        for rival in found.better
    ] == [
        ("smear", hub, pytest.approx(20), pytest.approx(20), pytest.approx(3000 / 20)),
        ("best", None, pytest.approx(2), pytest.approx(38), pytest.approx(19000 / 38)),
    ]


@pytest.mark.parametrize("hours", [24.01, None])
def test_a_better_method_that_no_specimen_reaches_in_time_is_not_offered(
    hill, hub, malaria, assessment, hours
):
    runs(assessment, hill, strip(malaria, sensitivity=0.95))
    runs(assessment, hub, make_method("smear", malaria, sensitivity=0.99))
    make_route(hill, hub, hours=hours)

    [found] = here(hill, assessment)

    assert [rival.site for rival in found.better] == [None]


def test_where_the_best_method_runs_nothing_better_is_named(hill, malaria, assessment):
    runs(assessment, hill, strip(malaria))
    make_method("as-good", malaria, sensitivity=0.8)

    [found] = here(hill, assessment)

    assert found.better == ()


@pytest.mark.parametrize("more", [0, 4])
def test_a_site_takes_as_many_queries_however_much_it_runs(
    hill, hub, malaria, assessment, django_assert_num_queries, more
):
    runs(assessment, hill, strip(malaria))
    runs(assessment, hub, make_method("smear", malaria))
    make_route(hill, hub, hours=1)
    for number in range(more):
        test = make_test(f"test-{number}")
        runs(assessment, hill, make_method(f"method-{number}", test))
        make_prevalence(test, 0.1)

    with django_assert_num_queries(8):
        found = here(hill, assessment)

    assert len(found) == 1 + more
