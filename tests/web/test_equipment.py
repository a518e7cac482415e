"""Pages of the register: devices, what is due, what contradicts, staff, and coverage of a day."""

import datetime as dt

import pytest
from django.utils import timezone

from apps.coverage.models import Assessment
from apps.facilities.models import Facility
from apps.inventory.models import EquipmentItem
from tests.api.register import make_person
from tests.factories.inventory import make_item, make_service_entry, make_staff_held
from tests.web.scene import make_assessment, make_finding

OFFICER_READS = ("/equipment/", "/equipment/due/", "/equipment/contradictions/", "/staff/")


def text(client, path: str, **asked: str) -> str:
    return client.get(path, asked).content.decode()


@pytest.fixture
def photometers(register):
    EquipmentItem.objects.update(observed_on=timezone.localdate())
    model = EquipmentItem.objects.get(code="hill-001").device_model
    make_item(register.ford, model, "repairable", code="ford-7", reason="no_power")
    make_item(register.hill, model, code="hill-8", last_calibrated_on=dt.date(2020, 1, 1),
              calibration_due_on=dt.date(2021, 1, 1), observed_on=timezone.localdate())  # fmt: skip


@pytest.mark.parametrize(
    ("asked", "codes"),
    [
        ({}, {"hill-001", "hill-8", "ford-7"}),
        ({"condition": "repairable"}, {"ford-7"}),
        ({"reason": "no_power"}, {"ford-7"}),
        ({"device_class": "photometer"}, {"hill-001", "hill-8", "ford-7"}),
        ({"needs": "due"}, {"hill-8"}),
        ({"needs": "stale"}, {"ford-7"}),
        ({"text": "HILL"}, {"hill-001", "hill-8"}),
        ({"condition": "nonsense"}, {"hill-001", "hill-8", "ford-7"}),
    ],
)
def test_devices_are_narrowed_by_what_is_known_of_them(pages, photometers, asked, codes):
    shown = pages.get("/equipment/", asked).context["page"]

    assert {row.item.code for row in shown} == codes


def test_the_list_holds_nothing_of_another_district(browse, register, photometers):
    outsider = browse(make_person("health_officer", register.south))

    assert [
        code in text(outsider, path) for path in OFFICER_READS for code in ("hill-001", "Ford")
    ] == [False] * 8


@pytest.mark.parametrize("path", OFFICER_READS)
@pytest.mark.parametrize("count", [1, 4])
def test_a_page_takes_as_many_queries_for_many_devices_as_for_one(
    pages, register, path, count, django_assert_max_num_queries
):
    model = EquipmentItem.objects.first().device_model
    for number in range(count):
        make_item(register.ford, model, serial_number="same", last_serviced_on=dt.date(2020, 1, 1))
        make_staff_held(register.ford, f"K{number}")

    with django_assert_max_num_queries(22):
        pages.get(path)


def test_the_page_of_a_device_shows_file_log_and_who_may_change_it(pages, browse, register):
    item = EquipmentItem.objects.get(code="hill-001")
    make_service_entry(item, kind="repair", cause="motor", days_down=9)

    page = text(pages, "/equipment/items/hill-001/")
    auditor = text(browse(make_person("auditor", register.north)), "/equipment/items/hill-001/")

    assert "1 of 23" in " ".join(page.split())
    assert "Motor" in page
    assert "/history/inventory.equipmentitem/hill-001/" in page
    assert ["/entry/items/hill-001/condition/" in each for each in (page, auditor)] == [True, False]


def test_a_device_of_another_district_is_not_found(pages):
    assert pages.get("/equipment/items/coast-001/").status_code == 404


def test_hours_that_follow_stand_beside_those_stated_until_somebody_adopts_them(pages, register):
    make_staff_held(register.hill, "K2", 2, testing_hours_per_week=10)

    assert "880" in text(pages, "/staff/")
    assert Facility.objects.get(code="hill").testing_hours_per_year == 1_000
    pages.post("/staff/hill/adopt-hours/")
    assert Facility.objects.get(code="hill").testing_hours_per_year == 880


def test_hours_that_are_not_known_cannot_be_adopted(pages):
    answer = pages.post("/staff/hill/adopt-hours/", follow=True)

    assert "The hours of somebody there are not known." in answer.content.decode()


@pytest.fixture
def two_days(register):
    for month, state in ((3, "blocked"), (4, "runs")):
        made = make_assessment(register.north)
        make_finding(made, register.hill, state)
        at = dt.datetime(2026, month, 1, 9, tzinfo=dt.UTC)
        Assessment.objects.filter(pk=made.pk).update(made_at=at)


def test_the_grid_of_a_day_says_which_day_it_is_and_when_it_was_worked_out(pages, two_days):
    page = " ".join(text(pages, "/coverage/", on="2026-03-15").split())

    assert "As it was on 15 Mar 2026: worked out on 1 Mar 2026" in page
    assert pages.get("/coverage/", {"on": "2026-03-15"}).context["grid"].counts == {"blocked": 1}
    assert pages.get("/coverage/").context["grid"].counts == {"runs": 1}


def test_a_day_before_the_first_assessment_is_told_so(pages, two_days):
    assert "Nothing was worked out by 28 Feb 2026" in text(pages, "/coverage/", on="2026-02-28")


def test_what_is_no_day_asks_for_the_latest(pages, two_days):
    assert pages.get("/coverage/", {"on": "soon"}).context["grid"].counts == {"runs": 1}
