"""Lists: what is in them, a page at a time, filtered and sorted."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from apps.catalogue.models import LabTest, Programme
from apps.coverage.services import refresh_coverage
from apps.facilities.models import Area
from tests.api.register import DAY, make_facility, make_plan


def codes(answer) -> list[str]:
    assert answer.status_code == 200, answer.content
    return [row["code"] for row in answer.json()["results"]]


def test_a_list_says_how_many_there_are_and_where_the_next_page_is(api):
    answer = api.get("/api/v1/sites/", {"page_size": 1})

    assert answer.json() == {
        "count": 2,
        "next": "http://testserver/api/v1/sites/?page=2&page_size=1",
        "previous": None,
        "results": [
            {
                "code": "ford",
                "name": "Ford",
                "area": "upper",
                "level": 2,
                "latitude": 1.0,
                "longitude": 30.0,
                "population": 8000,
                "testing_hours_per_year": 1000,
                "power_source": "unknown",
                "power_hours_per_day": None,
                "power_available_w": None,
                "open_days_per_week": None,
                "open_hours_per_day": None,
                "water_source": "",
                "water_hours_per_day": None,
                "cold_storage_litres": None,
                "cold_holdover_hours": None,
                "connectivity": "",
                "biosafety": "",
                "observed_on": None,
                "basis": "",
                "observer": "",
            }
        ],
    }


def test_a_site_shows_what_it_holds(api):
    answer = api.get("/api/v1/sites/hill/")

    body = answer.json()
    assert body["code"] == "hill"
    assert body["skills"] == [
        {
            "observed_on": "2026-01-15",
            "basis": "reported",
            "observer": "",
            "skill": "microscopy",
            "name": "Microscopy",
            "staff_count": 1,
            "last_trained_on": None,
            "last_supervised_on": None,
        }
    ]
    assert body["infrastructure"] == [
        {
            "observed_on": None,
            "basis": "reported",
            "observer": "",
            "infrastructure": "water",
            "name": "Running water",
            "presence": "present",
        }
    ]
    assert [item["code"] for item in body["equipment"]] == ["hill-001"]


def test_a_method_shows_its_needs_and_the_source_of_every_number(api):
    [method] = api.get("/api/v1/methods/").json()["results"]

    source = {"code": "demo", "title": "Invented", "kind": "demo", "year": 2026, "note": ""}
    sourced = {"source": source, "source_kind": "demo", "dated_on": DAY.isoformat()}
    assert method == {
        **sourced,
        "code": "haemoglobin-photometry",
        "name": "Cyanmethaemoglobin, photometer",
        "test": "haemoglobin",
        "sensitivity": 0.95,
        "sensitivity_source": source,
        "sensitivity_kind": "demo",
        "clinical_grade": "routine",
        "specificity": None,
        "specificity_source": None,
        "specificity_kind": "",
        "cadre": "K2",
        "batch_size": 1,
        "minutes_per_batch": 0.0,
        "minutes_per_sample": 6.0,
        "staff_hours": 0.1,
        "biosafety": "core",
        "cautions": "",
        "consumable_cost": "0.5000",
        "skills": ["microscopy"],
        "infrastructure": ["water"],
        "needs": [
            {
                "position": 1,
                "device_class": "photometer",
                "device_class_name": "Photometer",
                **sourced,
                "minutes_per_run": 3.0,
                "samples_per_run": 1,
                "hours": 0.05,
                "requirements": [
                    {
                        **sourced,
                        "attribute": "wavelength_nm",
                        "attribute_name": "Wavelength",
                        "ucum": "nm",
                        "radius": "",
                        "observation": "",
                        "comparator": "is",
                        "value": 540,
                    }
                ],
            }
        ],
    }


def test_a_device_model_shows_its_specifications_its_evidence_and_their_sources(api):
    [model] = api.get("/api/v1/device-models/").json()["results"]

    assert (model["evidence"], model["price"], model["programmes"]) == (
        "A",
        "900.0000",
        ["maternal"],
    )
    assert model["served_classes"] == [{"code": "photometer", "name": "Photometer"}]
    [specification] = model["specifications"]
    assert specification["source"]["title"] == "Invented"
    assert {key: specification[key] for key in ("device_class", "attribute", "ucum", "value")} == {
        "device_class": "photometer",
        "attribute": "wavelength_nm",
        "ucum": "nm",
        "value": 540,
    }


def test_a_block_names_its_district_and_a_district_nothing(api):
    rows = api.get("/api/v1/areas/").json()["results"]

    assert [(row["code"], row["kind"], row["parent"]) for row in rows] == [
        ("north", "district", None),
        ("upper", "block", "north"),
    ]


@pytest.mark.parametrize(
    ("page_size", "page", "expected"),
    [(1, 1, ["ford"]), (1, 2, ["hill"]), (2, 1, ["ford", "hill"]), (500, 1, ["ford", "hill"])],
)
def test_pages_follow_each_other_without_gap_or_overlap(api, page_size, page, expected):
    assert codes(api.get("/api/v1/sites/", {"page_size": page_size, "page": page})) == expected


def test_rows_that_sort_alike_stand_on_one_page_only(api, register):
    for number in range(5):
        make_facility(f"post-{number}", register.upper, level=1)

    pages = [
        codes(api.get("/api/v1/sites/", {"ordering": "level", "page_size": 2, "page": page}))
        for page in (1, 2, 3, 4)
    ]

    assert sorted(code for page in pages for code in page) == [
        "ford",
        "hill",
        *(f"post-{number}" for number in range(5)),
    ]


@pytest.mark.parametrize("name", ["page", "page_size"])
@pytest.mark.parametrize("value", ["0", "-1", "1.5", "many", "", "²", "1" * 10])
def test_a_page_that_is_no_whole_number_from_1_is_refused(api, name, value):
    answer = api.get("/api/v1/sites/", {name: value})

    assert answer.status_code == 400
    limit = " and at most 500" if name == "page_size" else ""
    assert answer.json()["error"]["fields"] == {
        name: [f"Expected a whole number of at least 1{limit}."]
    }


def test_501_rows_on_a_page_are_refused(api):
    assert api.get("/api/v1/sites/", {"page_size": 501}).status_code == 400


def test_a_page_after_the_last_is_not_found(api):
    answer = api.get("/api/v1/sites/", {"page": 2})

    assert answer.status_code == 404
    assert answer.json()["error"]["message"] == "There is no page 2."


def test_a_filter_that_does_not_exist_is_refused_and_the_others_are_named(api):
    answer = api.get("/api/v1/sites/", {"levle": "2"})

    assert answer.status_code == 400
    assert answer.json()["error"]["fields"] == {
        "levle": [
            "There is no such parameter here. There are: "
            "area, level, ordering, page, page_size, power_source."
        ]
    }


@pytest.mark.parametrize(
    ("address", "query", "expected"),
    [
        ("sites", {"area": "north"}, ["ford", "hill"]),
        ("sites", {"area": "upper"}, ["ford", "hill"]),
        ("sites", {"level": 1}, []),
        ("sites", {"level": 2}, ["ford", "hill"]),
        ("sites", {"power_source": "unknown"}, ["ford", "hill"]),
        ("sites", {"power_source": "stable"}, []),
        ("sites", {"ordering": "-code"}, ["hill", "ford"]),
        ("sites", {"ordering": "population"}, ["ford", "hill"]),
        ("sites", {"ordering": "level,-population"}, ["hill", "ford"]),
        ("equipment-items", {"site": "hill"}, ["hill-001"]),
        ("equipment-items", {"site": "ford"}, []),
        ("equipment-items", {"area": "upper", "condition": "in_use"}, ["hill-001"]),
        ("equipment-items", {"condition": "repairable"}, []),
        ("equipment-items", {"device_model": "cuvette-photometer"}, ["hill-001"]),
        ("areas", {"kind": "block"}, ["upper"]),
        ("areas", {"area": "upper"}, ["upper"]),
        ("tests", {"programme": "maternal"}, ["haemoglobin"]),
        ("tests", {"source_kind": "published"}, []),
        ("methods", {"test": "haemoglobin"}, ["haemoglobin-photometry"]),
        ("device-models", {"evidence": "A", "is_low_cost": "false"}, ["cuvette-photometer"]),
        ("device-models", {"is_low_cost": "true"}, []),
        ("device-models", {"programme": "maternal"}, ["cuvette-photometer"]),
        ("programmes", {"ordering": "-name"}, ["maternal"]),
    ],
)
def test_a_filter_gives_the_rows_it_names(api, address, query, expected):
    assert codes(api.get(f"/api/v1/{address}/", query)) == expected


def test_an_area_whose_code_begins_like_another_is_not_taken_for_it(api, register):
    north_east = Area.objects.create(
        code="north-east", name="North-east", kind="block", parent=register.north
    )
    make_facility("mill", north_east)

    assert codes(api.get("/api/v1/sites/", {"area": "north-east"})) == ["mill"]
    assert codes(api.get("/api/v1/sites/", {"area": "north"})) == ["ford", "hill", "mill"]


@pytest.mark.parametrize(
    ("query", "text"),
    [
        ({"area": "south"}, "There is no 'south' that you may see."),
        ({"area": "nowhere"}, "There is no 'nowhere' that you may see."),
        ({"level": "9"}, "Select a valid choice. 9 is not one of the available choices."),
        (
            {"ordering": "latitude"},
            "Select a valid choice. latitude is not one of the available choices.",
        ),
    ],
)
def test_a_value_that_names_nothing_is_refused_and_does_not_give_an_empty_list(api, query, text):
    answer = api.get("/api/v1/sites/", query)

    assert answer.status_code == 400
    assert answer.json()["error"]["fields"] == {name: [text] for name in query}


def test_a_list_holds_nothing_of_another_district(as_person, outsider):
    client = as_person(outsider)

    assert codes(client.get("/api/v1/sites/")) == ["coast"]
    assert codes(client.get("/api/v1/equipment-items/")) == ["coast-001"]
    assert codes(client.get("/api/v1/areas/")) == ["south"]


@pytest.mark.parametrize(
    "address",
    [
        "sites",
        "sites/hill",
        "areas",
        "equipment-items",
        "tests",
        "methods",
        "device-models",
        "coverage",
        "plans",
    ],
)
def test_an_answer_takes_as_many_queries_for_many_rows_as_for_few(api, register, planner, address):
    make_limited_plan(register, planner)
    refresh_coverage(area=register.north, by=planner)
    few = _queries(api, address)
    for _ in range(3):
        make_limited_plan(register, planner)
    _more_of_everything(register)
    refresh_coverage(area=register.north, by=planner)

    assert _queries(api, address) == few


def make_limited_plan(register, planner) -> None:
    plan = make_plan(register.north, planner)
    plan.earmarks.create(programme=Programme.objects.get(code="maternal"), amount=10)
    plan.floors.create(area=register.upper, share=0.1)


def _queries(api, address: str) -> int:
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert api.get(f"/api/v1/{address}/").status_code == 200
    return len(captured)


def _more_of_everything(register) -> None:
    programme = Programme.objects.create(code="child", name="Child health")
    for number in range(3):
        block = Area.objects.create(
            code=f"block-{number}", name="Block", kind="block", parent=register.north
        )
        site = make_facility(f"site-{number}", block)
        _copy(LabTest.objects.get(code="haemoglobin"), f"test-{number}", programme=programme)
        item = register.hill.equipmentitems.first()
        item.pk, item.code, item.facility = None, f"item-{number}", site
        item.save()
        item.pk, item.code, item.facility = None, f"more-{number}", register.hill
        item.save()
        _copy_method(number)
        _copy_model(number)


def _copy(row, code: str, **values: object):
    row.pk, row.code = None, code
    for name, value in values.items():
        setattr(row, name, value)
    row.save()
    return row


def _copy_method(number: int) -> None:
    test = LabTest.objects.get(code=f"test-{number}")
    original = LabTest.objects.get(code="haemoglobin").methods.get()
    needs, skills = list(original.needs.all()), list(original.skills.all())
    copy = _copy(original, f"method-{number}", test=test)
    copy.skills.set(skills)
    for need in needs:
        requirements = list(need.requirements.all())
        need.pk, need.method = None, copy
        need.save()
        for requirement in requirements:
            requirement.pk, requirement.need = None, need
            requirement.save()


def _copy_model(number: int) -> None:
    original = Programme.objects.get(code="maternal").device_models.get(code="cuvette-photometer")
    specifications = list(original.specifications.all())
    served = list(original.served_classes.all())
    copy = _copy(original, f"model-{number}")
    copy.programmes.set(Programme.objects.all())
    for row in [*specifications, *served]:
        row.pk, row.device_model = None, copy
        row.save()
