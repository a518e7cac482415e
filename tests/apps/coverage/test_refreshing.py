"""An assessment of a district as it is kept: its case, its findings, its entry in the trail."""

import hashlib
import json

import pytest
from django.core.exceptions import PermissionDenied

from apps.audit.models import Entry
from apps.audit.services import record
from apps.coverage.adapters import freeze_as_it_stands
from apps.coverage.models import Assessment, Document, Finding
from apps.coverage.selectors import read_document
from apps.coverage.services import keep_document, refresh_coverage
from planner.settings import VERSION
from tests.apps.coverage.district import make_left_out
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district, make_facility, make_route

BUY = {"kind": "buy", "item": "spinner", "name": "Spinner", "cost": 900.0}
TRAIN = {"kind": "train", "item": "staining", "name": "Staining", "cost": 200.5}
PROVIDE = {"kind": "provide", "item": "water", "name": "Running water", "cost": 500.0}
FIX = [BUY, TRAIN, PROVIDE]


def by_site(assessment) -> dict[str, Finding]:
    return {found.facility.code: found for found in assessment.findings.all()}


def test_an_assessment_keeps_its_case_its_maker_and_the_version_of_the_engine(small):
    officer = make_person(role="health_officer")

    made = refresh_coverage(area=small.north, by=officer)

    kept = Assessment.objects.get()
    assert (kept, kept.made_by, kept.engine_version) == (made, officer, VERSION)
    assert kept.case_id == freeze_as_it_stands(small.north).case.sha256()
    [entry] = Entry.objects.all()
    assert (entry.by, entry.action, entry.object_key, entry.after) == (
        officer,
        "coverage.refreshed",
        "north",
        {"case": kept.case_id, "findings": 3, "left_out": [], "routes_left_out": []},
    )


def test_every_site_and_test_has_a_finding_with_state_method_fix_and_reasons(small):
    make_route(small.ford, small.hill, hours=4)

    found = by_site(refresh_coverage(area=small.north, by=None))

    assert {code: each.state for code, each in found.items()} == {
        "hill": "runs", "ford": "referred", "mill": "blocked",
    }  # fmt: skip
    assert {code: each.method_code for code, each in found.items()} == {
        "hill": "spun", "ford": "spun", "mill": "",
    }  # fmt: skip
    assert {code: each.referred_to for code, each in found.items()} == {
        "hill": None, "ford": small.hill, "mill": None,
    }  # fmt: skip
    assert {code: each.fix_cost for code, each in found.items()} == {
        "hill": None, "ford": 1600.5, "mill": 1600.5,
    }  # fmt: skip
    assert found["mill"].detail == {
        "methods": [
            {
                "code": "spun",
                "name": "Spun",
                "runs": False,
                "missing": [
                    {
                        "kind": "device",
                        "what": "centrifuge with rcf_g at least 10\N{NARROW NO-BREAK SPACE}000"
                        "\N{NARROW NO-BREAK SPACE}g",
                        "reason": "no centrifuge on site",
                    },
                    {"kind": "skill", "what": "Staining", "reason": "staining: nobody is trained"},
                    {
                        "kind": "infrastructure",
                        "what": "Running water",
                        "reason": "running water: not there",
                    },
                ],
            }
        ],
        "fix": FIX,
        "questions": [],
    }
    assert found["hill"].detail["methods"][0]["missing"] == []


@pytest.mark.parametrize(("hours", "state"), [(4, "referred"), (4.01, "unknown")])
def test_a_specimen_travels_as_long_as_it_keeps_and_no_longer(small, hours, state):
    make_route(small.ford, small.hill, hours=hours)
    small.spinner.items.create(code="f-1", facility=small.ford, condition="in_use")

    assert by_site(refresh_coverage(area=small.north, by=None))["ford"].state == state


def test_a_facility_without_its_numbers_is_unknown_for_every_test_with_what_to_ask(small):
    make_left_out(small)

    found = by_site(refresh_coverage(area=small.north, by=None))

    assert [(found[code].state, found[code].detail) for code in ("blank", "idle")] == [
        ("unknown", {"methods": [], "fix": [], "questions": [question]})
        for question in (
            "Ask how many people live in the catchment of Blank",
            "Ask how many staff hours a year Idle can give to testing",
        )
    ]


def test_sites_alike_in_what_they_hold_but_not_in_level_get_their_own_prices(small):
    make_facility("post", small.upper, level=1)
    make_facility("centre", small.upper, level=2)
    for code in ("post", "centre"):
        site = small.upper.facilities.get(code=code)
        site.demands.create(test=small.haematocrit, tests_per_year=1, basis="demo", year=2026)

    found = by_site(refresh_coverage(area=small.north, by=None))

    assert (found["post"].fix_cost, found["centre"].fix_cost) == (1600.5, 1800.5)
    assert [action["cost"] for action in found["centre"].detail["fix"]] == [900.0, 200.5, 700.0]


def test_a_case_is_kept_once_however_often_it_is_worked_out(small):
    first, second = (refresh_coverage(area=small.north, by=None) for _ in range(2))

    assert first.case_id == second.case_id
    assert Document.objects.count() == 1


@pytest.mark.parametrize("role", ["in_charge", "auditor"])
def test_somebody_who_may_not_works_nothing_out(small, role):
    with pytest.raises(PermissionDenied):
        refresh_coverage(area=small.north, by=make_person(role=role))

    assert not Assessment.objects.exists()


def test_a_document_is_kept_under_the_digest_of_its_canonical_json(db):
    kept = keep_document({"b": 1.0, "a": [None, "\u00e4"]})

    text = '{"a":[null,"\u00e4"],"b":1}'.encode()
    assert kept.pk == hashlib.sha256(text).hexdigest()
    assert read_document(kept.pk) == text
    assert keep_document(json.loads(text)) == kept


def test_what_is_not_kept_cannot_be_read(db):
    with pytest.raises(Document.DoesNotExist):
        read_document("0" * 64)


@pytest.mark.parametrize("more", [0, 5])
def test_the_work_takes_the_same_number_of_queries_whatever_the_district_holds(
    small, django_assert_num_queries, more
):
    for number in range(more):
        make_facility(f"site-{number}", small.upper)
    make_facility("coast", make_district("south"))
    # The first entry of a history makes the row that counts them, which takes queries of its own.
    record("north.made", by=None, obj="north")

    with django_assert_num_queries(46):
        refresh_coverage(area=small.north, by=None)
