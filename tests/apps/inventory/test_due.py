"""What is due, what is stale, and what contradicts itself."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from apps.catalogue.models import DeviceClass
from apps.facilities.models import Facility
from apps.inventory.models import EquipmentItem
from apps.inventory.selectors import contradictions, due_and_stale
from tests.api.register import DAY, make_person, make_register
from tests.factories.catalogue import make_range
from tests.factories.inventory import make_item, make_skill_held

EVE = DAY - dt.timedelta(days=1)
TODAY = dt.date(2026, 6, 1)
BEFORE = TODAY - dt.timedelta(days=1)


@pytest.fixture
def register(db):
    register = make_register()
    Facility.objects.update(observed_on=TODAY)
    make_range(DeviceClass.objects.get(), measure="verification_months", low=6, high=12)
    return register


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


def dated(**values):
    EquipmentItem.objects.filter(code="hill-001").update(**values)


@pytest.mark.parametrize(
    ("calibrated", "over"),
    [(dt.date(2025, 5, 31), [1]), (dt.date(2025, 7, 31), [-60]), (dt.date(2025, 8, 1), [])],
)
def test_a_calibration_is_shown_from_60_days_before_it_is_due(register, officer, calibrated, over):
    dated(last_calibrated_on=calibrated)

    found = due_and_stale(officer, register.north, TODAY)

    assert [(each.due.kind, each.days_over) for each in found.due] == [
        ("calibration", days) for days in over
    ]


@pytest.mark.parametrize(
    ("until", "shown"),
    [
        (BEFORE, []),
        (TODAY, ["warranty"]),
        (dt.date(2026, 7, 31), ["warranty"]),
        (dt.date(2026, 8, 1), []),
    ],
)
def test_the_end_of_a_warranty_is_shown_in_its_last_60_days_and_not_afterwards(
    register, officer, until, shown
):
    dated(warranty_until=until)

    found = due_and_stale(officer, register.north, TODAY)

    assert [each.due.kind for each in found.due] == shown


def test_a_working_device_that_nobody_ever_calibrated_is_among_the_unknown(register, officer):
    found = due_and_stale(officer, register.north, TODAY)

    assert [each.item.code for each in found.unknown] == ["hill-001"]


def test_a_broken_device_is_not_due(register, officer):
    dated(last_calibrated_on=dt.date(2020, 1, 1), condition="repairable")

    assert due_and_stale(officer, register.north, TODAY).due == ()


def test_what_nobody_has_seen_for_a_year_is_stale_by_site_and_kind(register, officer):
    Facility.objects.filter(code="ford").update(observed_on=None)
    dated(observed_on=dt.date(2025, 5, 31))

    found = due_and_stale(officer, register.north, TODAY)

    assert [(each.facility.code, each.kind, each.oldest) for each in found.stale] == [
        ("ford", "site", None),
        ("hill", "infrastructure", None),
        ("hill", "equipment", dt.date(2025, 5, 31)),
    ]


def test_skills_long_without_training_are_listed_for_a_refresher(register, officer):
    skill = register.hill.skillhelds.get().skill
    held = make_skill_held(register.ford, skill, 1, last_trained_on=dt.date(2020, 1, 1))

    assert due_and_stale(officer, register.north, TODAY).refreshers == (held,)


def test_nothing_of_another_district_is_seen(register):
    outsider = make_person("health_officer", register.south)

    found = due_and_stale(outsider, register.north, TODAY)

    assert (found.due, found.unknown, found.stale, found.refreshers) == ((), (), (), ())


def test_the_number_of_queries_does_not_grow_with_the_district(register, officer):
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as asked:
            due_and_stale(officer, register.north, TODAY)
        return len(asked)

    before = queries()
    model = EquipmentItem.objects.first().device_model
    for _ in range(5):
        make_item(register.ford, model)

    assert queries() == before


def test_one_serial_number_at_two_sites_is_noticed_however_it_is_written(register, officer):
    model = EquipmentItem.objects.first().device_model
    dated(serial_number="ab-12 3")
    make_item(register.ford, model, serial_number="AB123")

    [same] = contradictions(officer, register.north).serials

    assert [item.facility.code for item in same.items] == ["ford", "hill"]


def test_devices_without_a_serial_number_do_not_share_one(register, officer):
    make_item(register.ford, EquipmentItem.objects.first().device_model)

    assert contradictions(officer, register.north).serials == ()


@pytest.mark.parametrize(
    ("values", "odd"),
    [
        ({"manufactured_on": DAY, "received_on": EVE}, ["manufactured_on, received_on"]),
        ({"manufactured_on": DAY, "received_on": DAY}, []),
        ({"purchased_on": DAY, "received_on": EVE}, ["purchased_on, received_on"]),
        ({"last_serviced_on": dt.date(2199, 1, 1)}, [", last_serviced_on"]),
    ],
)  # fmt: skip
def test_days_that_cannot_be_in_that_order_are_noticed(register, officer, values, odd):
    dated(**values)

    found = contradictions(officer, register.north).dates

    assert [f"{each.earlier}, {each.later}" for each in found] == odd
