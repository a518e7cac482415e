"""What services do with verifications: who may, what is kept, what ends them."""

import datetime as dt

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from apps.audit.models import Entry
from apps.catalogue.models import VerificationLimit
from apps.inventory.choices import Standing
from apps.inventory.models import Verification
from apps.inventory.rules import months_later, standing, standing_of
from apps.inventory.selectors import current_verification, standings, verifications_for
from apps.inventory.services import end_outdated, end_verifications, withdraw_verification
from planner.engine.errors import InputError
from tests.factories.accounts import make_person
from tests.factories.catalogue import make_device_class, make_device_model, make_limit
from tests.factories.facilities import make_block, make_district, make_facility
from tests.factories.inventory import make_item, make_verification
from tests.factories.verifying import steady_run, verify

TODAY = dt.date(2026, 6, 15)


@pytest.fixture
def hill(db):
    return make_facility("hill", make_block("upper", make_district("north")))


@pytest.fixture
def item(hill):
    spinning = make_device_class("centrifuge", rcf_max_g="number", r_max_cm="number")
    make_limit(
        "speed", device_class=spinning, rule="inspection", measure="speed_error_pct", low=-10,
        high=10, ucum="%", valid_months=6,
    )  # fmt: skip
    return make_item(hill, make_device_model("spinner", spinning))


@pytest.fixture
def officer(hill):
    officer = make_person(role="health_officer")
    officer.stewardships.create(area=hill.area.parent)
    return officer


# Recording.


def test_a_verification_keeps_limits_readings_figures_and_measured_values(item):
    made = verify(item, steady_run(11_000), done_on=dt.date(2026, 8, 31))

    made.refresh_from_db()
    assert (made.code, made.outcome, made.valid_until) == (
        "hill-1-v1", "pass", dt.date(2027, 2, 28),
    )  # fmt: skip
    assert made.measured == {"rcf_max_g": 12177.7, "r_max_cm": 9.0}
    assert made.readings == {
        "columns": ["seconds", "rpm"], "rows": [[0, 11_000], [300, 11_000]], "radius_cm": 9.0,
        "set_rpm": 11_000, "setting": "greatest",
    }  # fmt: skip
    assert made.limits["subject_name"] == "Centrifuge"
    [limit] = made.limits["limits"]
    assert (limit["code"], limit["high"], limit["source"]) == ("speed", 10, "x")
    [check] = made.figures["checks"]
    assert (check["measure"], check["outcome"], check["n"]) == ("speed_error_pct", "pass", 1)


def test_a_later_change_of_the_catalogue_does_not_change_what_was_found(item):
    made = verify(item, steady_run(10_200))
    before = (made.limits, made.figures, made.outcome)

    VerificationLimit.objects.update(high=1, low=-1)

    made.refresh_from_db()
    assert (made.limits, made.figures, made.outcome) == before
    assert verify(item, steady_run(10_200)).outcome == "fail"


def test_recording_is_in_the_trail_with_what_it_came_to(item, officer):
    made = verify(item, steady_run(11_000))

    [entry] = Entry.objects.filter(action="verification.recorded")
    assert (entry.object_key, entry.place) == (made.code, "north/upper/")
    assert entry.after["outcome"] == "pass"
    assert entry.after["measured"] == {"rcf_max_g": 12177.7, "r_max_cm": 9.0}


def test_the_weakest_run_says_how_great_the_force_is_and_the_strongest_how_small(item):
    make_device_class("other", rcf_settable_min_g="number")
    log = "run seconds rpm\n1 0 11000\n1 60 11000\n2 0 10500\n2 60 10500"

    assert verify(item, log).measured["rcf_max_g"] == pytest.approx(11_095.8, abs=0.1)
    lowest = verify(item, log, setting="lowest")
    assert "rcf_max_g" not in lowest.measured
    assert lowest.figures["rcf_g"] == pytest.approx(12_177.7, abs=0.1)


def test_a_hand_driven_spin_without_a_set_speed_leaves_its_error_open(item):
    made = verify(item, steady_run(11_000), set_rpm=None)

    assert (made.outcome, made.valid_until) == ("not_enough", None)
    assert made.figures["checks"][0]["reason"] == "Error of speed, % was not measured."


def test_a_spin_without_a_radius_is_refused(item):
    with pytest.raises(InputError) as refusal:
        verify(item, steady_run(11_000), radius_cm=None)

    assert refusal.value.problems == (
        "radius: not stated. Measure from the axis to the tip of the tube as it spins, in cm",
    )


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"done_on": dt.date(2999, 1, 1)}, "The day lies in the future."),
        ({"done_on": dt.date(2019, 12, 31)}, "The item was received on 2020-01-01"),
        ({"operator": "Ada"}, "Value 'Ada' is not a valid choice."),
        ({"reference": ""}, "This field cannot be blank."),
        ({"analyte": "urea"}, "Say what was measured"),
    ],
)
def test_facts_that_cannot_be_are_refused(item, changed, said):
    item.received_on = dt.date(2020, 1, 1)
    item.save()

    with pytest.raises(ValidationError) as refusal:
        verify(item, steady_run(11_000), **changed)

    assert any(message.startswith(said) for message in refusal.value.messages)
    assert not Verification.objects.exists()


@pytest.mark.parametrize(
    ("condition", "may"),
    [("in_use", True), ("idle", True), ("awaiting", True), ("repairable", False),
     ("beyond_repair", False), ("unknown", False)],
)  # fmt: skip
def test_only_a_device_that_can_work_is_verified(item, condition, may):
    item.condition = condition
    item.save()

    if may:
        assert verify(item, steady_run(11_000)).pk
    else:
        with pytest.raises(ValidationError):
            verify(item, steady_run(11_000))


@pytest.mark.parametrize("role", ["planner", "auditor"])
def test_a_role_that_may_not_neither_records_nor_ends_nor_withdraws(item, role, hill):
    made = make_verification(item)
    person = make_person(role=role)
    person.stewardships.create(area=hill.area)

    for deed in (
        lambda: verify_by(item, person),
        lambda: withdraw_verification(verification=made, why="x", by=person),
        lambda: end_verifications(item=item, ending="repaired", on=TODAY, by=person),
    ):
        with pytest.raises(PermissionDenied):
            deed()


def test_somebody_of_another_area_does_not_verify_here(item):
    elsewhere = make_person(role="in_charge")
    elsewhere.stewardships.create(area=make_district("south"))

    with pytest.raises(PermissionDenied):
        verify_by(item, elsewhere)


def test_somebody_in_charge_of_the_facility_does(item, hill):
    in_charge = make_person(role="in_charge")
    in_charge.stewardships.create(area=hill.area)

    assert verify_by(item, in_charge).outcome == "pass"


def verify_by(item, person):
    return verify(item, steady_run(11_000), by=person)


# What ends a verification, and what it is worth until then.


@pytest.mark.parametrize(
    ("values", "on", "expected"),
    [
        ({}, dt.date(2027, 1, 15), Standing.DUE),
        ({}, dt.date(2027, 1, 16), Standing.EXPIRED),
        ({}, dt.date(2026, 11, 16), Standing.DUE),
        ({}, dt.date(2026, 11, 15), Standing.VALID),
        ({"outcome": "fail"}, dt.date(2036, 1, 1), Standing.FAILED),
        ({"outcome": "not_enough"}, TODAY, Standing.OPEN),
        ({"ended_on": TODAY, "ended_by": "repaired"}, TODAY, Standing.ENDED),
    ],
)
def test_a_verification_is_worth_something_from_day_to_day(item, values, on, expected):
    made = make_verification(item, **values)

    assert standing(made, item, on) == expected


@pytest.mark.parametrize("change", ["condition", "facility", "device_model"])
def test_a_device_that_broke_moved_or_was_another_ends_it_for_good(item, hill, change):
    made = make_verification(item)
    before = getattr(item, change)
    values = {
        "condition": "repairable",
        "facility": make_facility("ford", hill.area),
        "device_model": make_device_model("other"),
    }
    setattr(item, change, values[change])
    item.save()
    assert standing(made, item, TODAY) == Standing.ENDED

    assert end_outdated(by=None) == 1

    setattr(item, change, before)
    item.save()
    made.refresh_from_db()
    assert standing(made, item, TODAY) == Standing.ENDED
    assert made.ended_by == {"condition": "condition", "facility": "moved"}.get(change, "changed")
    assert Entry.objects.filter(action="verification.ended", object_key=made.code).count() == 1
    assert end_outdated(by=None) == 0


def test_what_did_not_change_stays_and_costs_one_query(item, django_assert_num_queries):
    make_verification(item)

    with django_assert_num_queries(3):  # one, and the two of a savepoint
        assert end_outdated(by=None) == 0


@pytest.mark.parametrize(("on", "ended"), [(dt.date(2026, 1, 15), 1), (dt.date(2026, 1, 14), 0)])
def test_a_repair_ends_what_was_measured_until_that_day(item, officer, on, ended):
    made = make_verification(item)

    assert end_verifications(item=item, ending="repaired", on=on, by=officer) == ended

    made.refresh_from_db()
    assert made.ended_by == ("repaired" if ended else "")


def test_a_repair_to_come_ends_nothing_yet(item):
    with pytest.raises(ValidationError):
        end_verifications(item=item, ending="repaired", on=dt.date(2999, 1, 1), by=None)


def test_withdrawing_needs_a_reason_and_happens_once(item, officer):
    made = make_verification(item)

    with pytest.raises(ValidationError, match="Say why"):
        withdraw_verification(verification=made, why="  ", by=officer)
    made.refresh_from_db()
    withdraw_verification(verification=made, why="Wrong device", by=officer)
    with pytest.raises(ValidationError, match="withdrawn already"):
        withdraw_verification(verification=made, why="Again", by=officer)

    assert Entry.objects.get(action="verification.withdrawn").why == "Wrong device"


def test_what_was_withdrawn_never_was(item):
    make_verification(item, outcome="fail", withdrawn_on=TODAY, withdrawn_why="x")

    assert standing_of(item.verifications.order_by("done_on", "pk"), item, TODAY) == Standing.NEVER
    assert current_verification(item, TODAY) is None


def test_the_worst_of_what_was_verified_last_counts(item):
    make_verification(item, rule="inspection", outcome="fail")
    make_verification(item, rule="inspection")
    valid = make_verification(item, rule="acceptance")

    assert standing_of(item.verifications.order_by("done_on", "pk"), item, TODAY) == Standing.VALID
    assert current_verification(item, TODAY) == valid
    make_verification(item, rule="quarterly", outcome="fail")
    assert standing_of(item.verifications.order_by("done_on", "pk"), item, TODAY) == Standing.FAILED
    assert current_verification(item, TODAY) == valid


@pytest.mark.parametrize(
    "values",
    [
        {"valid_until": None},
        {"valid_until": dt.date(2026, 1, 14)},
        {"outcome": "fail", "valid_until": dt.date(2027, 1, 1)},
        {"ended_on": TODAY},
        {"ended_by": "repaired"},
        {"withdrawn_on": TODAY},
        {"withdrawn_why": "x"},
    ],
)
def test_the_database_refuses_half_a_statement(item, values):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_verification(item, **values)


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (dt.date(2026, 1, 31), 1, dt.date(2026, 2, 28)),
        (dt.date(2027, 12, 31), 2, dt.date(2028, 2, 29)),
        (dt.date(2026, 6, 15), 12, dt.date(2027, 6, 15)),
        (dt.date(2026, 12, 1), 1, dt.date(2027, 1, 1)),
    ],
)
def test_months_later_is_the_same_day_or_the_last_of_the_month(day, months, later):
    assert months_later(day, months) == later


# Reading.


def test_the_devices_that_need_somebody_come_first(item, officer):
    failed, expired, valid, never = (make_item(item.facility, item.device_model) for _ in range(4))
    make_verification(failed, outcome="fail")
    make_verification(expired, valid_until=dt.date(2026, 2, 1))
    make_verification(valid)
    broken = make_item(item.facility, item.device_model, "repairable")

    rows = standings(officer, item.facility.area.parent, TODAY)

    assert [(row.item, row.standing) for row in rows[:2]] == [
        (failed, Standing.FAILED), (expired, Standing.EXPIRED),
    ]  # fmt: skip
    assert {row.item for row in rows[2:4]} == {item, never}
    assert (rows[4].item, rows[4].standing) == (valid, Standing.VALID)
    assert broken not in {row.item for row in rows}


@pytest.mark.parametrize("count", [1, 4])
def test_standings_take_the_same_number_of_queries_however_many(
    item, officer, django_assert_num_queries, count
):
    for _ in range(count):
        make_verification(make_item(item.facility, item.device_model))

    with django_assert_num_queries(3):
        standings(officer, item.facility.area.parent, TODAY)


def test_a_device_without_limits_is_listed_only_if_it_was_verified(hill, officer):
    plain = make_item(hill, make_device_model("plain"))
    assert standings(officer, hill.area.parent, TODAY) == []

    make_verification(plain)

    assert [row.item for row in standings(officer, hill.area.parent, TODAY)] == [plain]


def test_verifications_are_seen_by_those_who_answer_for_the_facility(item, officer):
    made = make_verification(item)

    assert list(verifications_for(officer)) == [made]
    assert list(verifications_for(make_person("stranger"))) == []


def test_two_of_the_same_day_have_their_own_codes(item):
    codes = [verify(item, steady_run(11_000)).code for _ in range(2)]

    assert codes == ["hill-1-v1", "hill-1-v2"]
    assert timezone.localdate() == Verification.objects.first().done_on
