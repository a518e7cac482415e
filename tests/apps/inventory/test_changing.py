"""Changes of the register: who may, what two people make of one row, and what is kept of it."""

import datetime as dt

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from apps.audit.models import Entry
from apps.facilities.models import Facility, Observation
from apps.facilities.services import ConflictError, Said, change_site
from apps.inventory.models import EquipmentItem, Move, ServiceEntry, SkillHeld, StaffHeld
from apps.inventory.services import (
    add_item,
    adopt_testing_hours,
    change_item,
    count_skill,
    count_staff,
    log_service,
    move_item,
)
from tests.api.register import make_person, make_register
from tests.factories.inventory import make_verification

DAY = dt.date(2026, 6, 1)


def said(**values) -> Said:
    return Said(**{"observed_on": DAY, "basis": "observed", "observer": "supervisor", **values})


@pytest.fixture
def register(db):
    return make_register()


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


@pytest.fixture
def item(register):
    return EquipmentItem.objects.get(code="hill-001")


def change(site, changes, seen, by, **how):
    return change_site(site=site, changes=changes, seen=seen, said=said(**how), by=by)


def test_a_change_is_kept_in_the_row_as_an_observation_and_in_the_trail(register, officer):
    change(register.hill, {"population": 13_000}, {"population": 12_000}, officer, why="census")

    hill = Facility.objects.get(code="hill")
    assert (hill.population, hill.observed_on, hill.basis, hill.observer) == (
        13_000, DAY, "observed", "supervisor",
    )  # fmt: skip
    seen = Observation.objects.get()
    assert (seen.object_key, seen.facts, seen.by) == ("hill", {"population": 13_000.0}, officer)
    entry = Entry.objects.get(action="site.changed")
    assert (entry.before["population"], entry.after["population"]) == (12_000.0, 13_000.0)
    assert (entry.by, entry.why, entry.place) == (officer, "census", "north/upper/")


def test_two_who_change_different_facts_both_have_their_way(register, officer):
    shown = {"population": 12_000, "connectivity": ""}
    change(register.hill, {"population": 13_000, "connectivity": ""}, shown, officer)
    change(register.hill, {"population": 12_000, "connectivity": "mobile"}, shown, officer)

    hill = Facility.objects.get(code="hill")
    assert (hill.population, hill.connectivity) == (13_000, "mobile")


def test_the_second_who_changes_the_same_fact_sees_both_values_and_nothing_is_lost(
    register, officer
):
    shown = {"population": 12_000}
    change(register.hill, {"population": 13_000}, shown, officer)

    with pytest.raises(ConflictError) as refusal:
        change(register.hill, {"population": 14_000}, shown, officer)

    [conflict] = refusal.value.conflicts
    assert (conflict.seen, conflict.theirs, conflict.yours) == (12_000, 13_000, 14_000)
    assert conflict.by == officer.username
    assert Facility.objects.get(code="hill").population == 13_000
    assert Observation.objects.count() == 1


def test_two_who_write_the_same_do_not_disagree(register, officer):
    for _ in range(2):
        change(register.hill, {"population": 13_000}, {"population": 12_000}, officer)

    assert Facility.objects.get(code="hill").population == 13_000


def test_an_entry_that_comes_twice_is_done_once(register, officer):
    first = change(register.hill, {"population": 1}, {"population": 12_000}, officer, entry_key="a")
    Facility.objects.filter(code="hill").update(population=2)
    again = change(register.hill, {"population": 1}, {"population": 12_000}, officer, entry_key="a")

    assert (first.replayed, again.replayed) == (False, True)
    assert again.observation == first.observation
    assert Facility.objects.get(code="hill").population == 2


def test_an_older_observation_does_not_make_the_row_look_older(register, officer):
    change(register.hill, {"biosafety": "core"}, {}, officer)
    change(register.hill, {"connectivity": "voice"}, {}, officer, observed_on=dt.date(2026, 5, 1))

    hill = Facility.objects.get(code="hill")
    assert (hill.connectivity, hill.observed_on) == ("voice", DAY)


def test_nothing_can_be_observed_tomorrow(register, officer):
    tomorrow = timezone.localdate() + dt.timedelta(days=1)

    with pytest.raises(ValidationError) as refusal:
        change(register.hill, {"population": 1}, None, officer, observed_on=tomorrow)

    assert list(refusal.value.message_dict) == ["observed_on"]


@pytest.mark.parametrize(("role", "district"), [("auditor", "north"), ("in_charge", "south")])
def test_a_role_that_may_not_and_somebody_from_elsewhere_change_nothing(register, role, district):
    person = make_person(role, getattr(register, district))

    with pytest.raises(PermissionDenied):
        change(register.hill, {"population": 1}, None, person)

    assert Facility.objects.get(code="hill").population == 12_000
    assert not Entry.objects.exists()


def test_the_code_and_place_of_a_site_cannot_be_changed_here(register, officer):
    with pytest.raises(ValidationError):
        change(register.hill, {"area": register.south}, None, officer)


def test_a_device_that_breaks_is_not_verified_any_more(register, officer, item):
    made = make_verification(item)

    change_item(
        item=item,
        changes={"condition": "repairable", "reason": "fault"},
        seen={"condition": "in_use", "reason": ""},
        said=said(),
        by=officer,
    )

    made.refresh_from_db()
    assert made.ended_by == "condition"


def test_a_device_in_use_has_no_reason_not_to_be(officer, item):
    with pytest.raises(ValidationError) as refusal:
        change_item(item=item, changes={"reason": "no_power"}, seen={}, said=said(), by=officer)

    assert list(refusal.value.message_dict) == ["reason"]


def test_a_device_is_added_with_what_is_known_of_it(register, officer, item):
    add_item(
        facility=register.ford,
        device_model=item.device_model,
        code="ford-009",
        facts={"condition": "idle", "reason": "stored", "supplier": "A donor"},
        said=said(),
        by=officer,
    )

    added = EquipmentItem.objects.get(code="ford-009")
    assert (added.facility, added.condition, added.supplier, added.basis) == (
        register.ford, "idle", "A donor", "observed",
    )  # fmt: skip
    assert Entry.objects.get(action="item.added").before is None


def test_a_code_that_is_taken_is_refused(register, officer, item):
    with pytest.raises(ValidationError) as refusal:
        add_item(
            facility=register.ford, device_model=item.device_model, code="hill-001", facts={},
            said=said(), by=officer,
        )  # fmt: skip

    assert list(refusal.value.message_dict) == ["code"]


def test_a_move_is_recorded_with_day_and_reason_and_ends_what_was_measured(register, officer, item):
    made = make_verification(item)

    move_item(item=item, to=register.ford, location="bench", said=said(why="idle"), by=officer)

    item.refresh_from_db()
    made.refresh_from_db()
    move = Move.objects.get()
    assert (item.facility, item.location) == (register.ford, "bench")
    assert (move.origin, move.destination, move.moved_on, move.why) == (
        register.hill, register.ford, DAY, "idle",
    )  # fmt: skip
    assert made.ended_by == "moved"


def test_a_move_without_a_reason_is_refused(register, officer, item):
    with pytest.raises(ValidationError):
        move_item(item=item, to=register.ford, location="", said=said(), by=officer)


def test_nobody_moves_a_device_to_where_others_answer(register, officer, item):
    with pytest.raises(PermissionDenied):
        move_item(item=item, to=register.coast, location="", said=said(why="x"), by=officer)

    assert not Move.objects.exists()


def test_maintenance_moves_the_dates_of_the_device_on_and_an_old_line_does_not(officer, item):
    log_service(
        item=item, kind="preventive", said=said(), by=officer, next_due_on=dt.date(2027, 6, 1)
    )
    log_service(
        item=item, kind="preventive", said=said(observed_on=dt.date(2025, 6, 1)), by=officer
    )

    item.refresh_from_db()
    assert (item.last_serviced_on, item.service_due_on) == (DAY, dt.date(2027, 6, 1))
    assert ServiceEntry.objects.count() == 2


@pytest.mark.parametrize("role", ["health_officer", "planner"])
def test_a_repair_ends_what_was_measured_whoever_writes_it_down(register, item, role):
    made = make_verification(item)
    person = make_person(role, register.upper)

    log_service(item=item, kind="repair", said=said(), by=person, cause="motor", days_down=12)

    made.refresh_from_db()
    assert made.ended_by == "repaired"
    assert Entry.objects.get(action="item.serviced").by == person


def test_a_cadre_is_counted_and_counted_again(register, officer):
    count = {"staff_count": 2, "testing_hours_per_week": 10}
    count_staff(facility=register.hill, cadre="K2", changes=count, seen={}, said=said(), by=officer)
    count_staff(
        facility=register.hill, cadre="K2", changes={"staff_count": 3}, seen={"staff_count": 2},
        said=said(), by=officer,
    )  # fmt: skip

    row = StaffHeld.objects.get()
    assert (row.staff_count, row.testing_hours_per_week) == (3, 10)


def test_two_who_count_a_cadre_for_the_first_time_see_each_other(register, officer):
    for_both = {"facility": register.hill, "cadre": "K2", "seen": {}, "by": officer}
    count_staff(changes={"staff_count": 2}, said=said(), **for_both)

    with pytest.raises(ConflictError):
        count_staff(changes={"staff_count": 4}, said=said(), **for_both)


def test_a_skill_is_counted_with_training_and_supervision(register, officer):
    skill = SkillHeld.objects.first().skill
    facts = {"staff_count": 2, "last_supervised_on": DAY}
    count_skill(
        facility=register.ford, skill=skill, changes=facts, seen={}, said=said(), by=officer
    )

    row = SkillHeld.objects.get(facility=register.ford)
    assert (row.staff_count, row.last_trained_on, row.last_supervised_on) == (2, None, DAY)


def test_hours_that_follow_from_the_staff_become_the_stated_ones_only_when_adopted(
    register, officer
):
    count_staff(
        facility=register.hill, cadre="K2",
        changes={"staff_count": 1, "testing_hours_per_week": 20}, seen={}, said=said(), by=officer,
    )  # fmt: skip
    assert Facility.objects.get(code="hill").testing_hours_per_year == 1_000

    adopt_testing_hours(site=register.hill, said=said(), by=officer)

    assert Facility.objects.get(code="hill").testing_hours_per_year == 880


def test_hours_that_are_not_known_are_not_adopted(register, officer):
    assert adopt_testing_hours(site=register.hill, said=said(), by=officer) is None
    assert Facility.objects.get(code="hill").testing_hours_per_year == 1_000
