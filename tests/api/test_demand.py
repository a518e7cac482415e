"""Estimates of demand and the time of sites: what is said, narrowed, and refused."""

import pytest
from django.utils import timezone

from apps.catalogue.models import LabTest
from apps.coverage.services import refresh_coverage
from tests.api.register import make_facility
from tests.api.test_schema import mistakes, schema  # noqa: F401
from tests.factories.demand import make_rate, make_statistic

QUERIES = 12
ESTIMATES, WORKLOADS = "/api/v1/demand-estimates/", "/api/v1/workloads/"


@pytest.fixture
def haemoglobin(register) -> LabTest:
    return LabTest.objects.get(code="haemoglobin")


@pytest.fixture
def year() -> int:
    return timezone.localdate().year


def sites(answer) -> list[str]:
    assert answer.status_code == 200, answer.content
    return [row["site"] for row in answer.json()["results"]]


def test_an_estimate_says_what_is_adopted_and_what_each_way_comes_to(
    api, register, haemoglobin, year
):
    make_statistic(register.hill, haemoglobin, 3000, year=year)
    make_rate(haemoglobin, 0.1)

    answer = api.get(ESTIMATES, {"site": "hill"})

    by_statistics = {"basis": "service_statistics", "tests_per_year": 3000.0, "holds": True}
    assert answer.json()["results"] == [
        {
            "site": "hill",
            "site_name": "Hill",
            "test": "haemoglobin",
            "test_name": "Haemoglobin",
            "programme": "maternal",
            "year": year,
            "adopted": {"tests_per_year": 1000.0, "basis": "demo", "year": 2026},
            "people": 12000.0,
            "figures": [
                by_statistics,
                {"basis": "morbidity", "tests_per_year": 1200.0, "holds": True},
            ],
            "go_by": by_statistics,
            "weak": False,
            "largest_over_smallest": 2.5,
            "go_by_over_adopted": 3.0,
            "flagged": True,
        }
    ]


def test_a_ratio_to_nothing_has_no_number_and_a_flag(api, register, haemoglobin, year):
    make_statistic(register.hill, haemoglobin, 0, year=year)
    make_rate(haemoglobin, 0.1)

    [row] = api.get(ESTIMATES, {"site": "hill"}).json()["results"]

    assert (row["largest_over_smallest"], row["go_by_over_adopted"], row["flagged"]) == (
        None,
        0,
        True,
    )


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, ["ford", "hill"]),
        ({"district": "north"}, ["ford", "hill"]),
        ({"flagged": "true"}, ["hill"]),
        ({"flagged": "false"}, ["ford"]),
        ({"programme": "maternal", "test": "haemoglobin", "site": "ford"}, ["ford"]),
        ({"programme": "other"}, []),
        ({"page_size": "1", "page": "2"}, ["hill"]),
    ],
)
def test_estimates_are_narrowed_and_paged(api, register, haemoglobin, year, query, found):
    make_statistic(register.hill, haemoglobin, 3000, year=year)

    assert sites(api.get(ESTIMATES, query)) == found


@pytest.mark.parametrize(
    ("query", "field"),
    [({"district": "south"}, "district"), ({"flaged": "true"}, "flaged"),
     ({"flagged": "perhaps"}, "flagged"), ({"site": "no such"}, "site")],
)  # fmt: skip
def test_a_query_that_cannot_be_meant_is_refused_by_name(api, register, query, field):
    answer = api.get(ESTIMATES, query)

    assert answer.status_code == 400
    assert field in answer.content.decode()


def test_estimates_take_as_many_queries_however_many_sites(
    api, register, haemoglobin, django_assert_num_queries
):
    api.get(ESTIMATES)
    with django_assert_num_queries(QUERIES):
        api.get(ESTIMATES)
    for number in range(3):
        make_facility(f"site-{number}", register.upper, population=100)

    with django_assert_num_queries(QUERIES):
        api.get(ESTIMATES)


def test_a_workload_says_what_runs_out_first(api, register, planner):
    register.hill.testing_hours_per_year = 50
    register.hill.save()
    method = LabTest.objects.get(code="haemoglobin").methods.get()
    method.batch_size, method.minutes_per_batch, method.minutes_per_sample = 1, 0, 6
    method.save()
    refresh_coverage(area=register.north, by=planner)

    [row] = api.get(WORKLOADS, {"site": "hill"}).json()["results"]

    # Ford's thousand travel to Hill: two thousand of 0.1 h in 50 h.
    assert (row["asked"], row["own"], row["from_others"], row["doable"]) == (2000, 1000, 1000, 500)
    assert (row["binding"], row["binding_share"], row["short_hours"]) == ("staff", 0.25, 150)
    assert row["staff"]["band"] == "over"
    assert [machine["code"] for machine in row["machines"]] == ["photometer"]


def test_workloads_are_narrowed_and_sorted(api, register, planner):
    refresh_coverage(area=register.north, by=planner)

    assert sites(api.get(WORKLOADS)) == ["ford", "hill"]
    assert sites(api.get(WORKLOADS, {"ordering": "-asked"})) == ["hill", "ford"]
    assert sites(api.get(WORKLOADS, {"binding": "machine"})) == []
    assert api.get(WORKLOADS, {"area": "south"}).status_code == 400


def test_both_lists_answer_as_the_document_says(
    api,
    register,
    haemoglobin,
    planner,
    year,
    schema,  # noqa: F811
):
    make_statistic(register.hill, haemoglobin, 3000, year=year)
    make_rate(haemoglobin, 0.1)
    refresh_coverage(area=register.north, by=planner)

    answers = {"list_demand_estimates": api.get(ESTIMATES), "list_workloads": api.get(WORKLOADS)}

    assert [answer.json()["count"] for answer in answers.values()] == [2, 2]
    assert {name: mistakes(schema, name, answer) for name, answer in answers.items()} == {
        name: [] for name in answers
    }
