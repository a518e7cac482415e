from importlib import import_module

import pytest
from django.db import DatabaseError, connection, transaction

from apps.audit.models import Entry
from apps.audit.selectors import latest_entry
from apps.audit.services import record
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district

REFUSE = import_module("apps.audit.migrations.0002_refuse_changes").REFUSE


@pytest.fixture
def refusing(db):
    """The refusal that the migration puts into the database; gone with the test's transaction."""
    with connection.cursor() as cursor:
        for statement in REFUSE[connection.vendor]:
            cursor.execute(statement)


@pytest.fixture
def entry(db) -> Entry:
    return record("register.loaded", by=None, obj="demo", after={"files": 1})


def test_an_entry_keeps_who_did_what_to_which_thing_from_what_to_what_and_why(db):
    person, area = make_person(), make_district("north")

    entry = record(
        "area.renamed",
        by=person,
        obj=area,
        before={"name": "Nord"},
        after={"name": "North"},
        why="misspelt",
    )

    kept = Entry.objects.values().get(pk=entry.pk)
    del kept["at"], kept["digest"]
    assert kept == {
        "id": entry.pk,
        "by_id": person.pk,
        "action": "area.renamed",
        "object_type": "facilities.area",
        "object_key": "north",
        "place": "north/",
        "before": {"name": "Nord"},
        "after": {"name": "North"},
        "why": "misspelt",
    }


def test_a_thing_without_a_code_is_known_by_its_primary_key(db):
    person = make_person()

    entry = record("user.made", by=None, obj=person)

    assert (entry.object_type, entry.object_key) == ("accounts.user", str(person.pk))


@pytest.mark.django_db(transaction=True)
def test_recording_outside_a_transaction_is_refused_and_says_what_to_do():
    with pytest.raises(RuntimeError) as refusal:
        record("plan.drafted", by=None, obj="a plan")

    assert str(refusal.value) == (
        "record('plan.drafted') was called outside a transaction. "
        "Wrap the change and this call in transaction.atomic()."
    )
    assert not Entry.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_an_entry_goes_with_the_change_it_tells_of():
    def change_that_fails():
        with transaction.atomic():
            record("plan.drafted", by=None, obj="a plan")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        change_that_fails()

    assert not Entry.objects.exists()


@pytest.mark.parametrize("change", ["update", "save", "delete", "truncate"])
def test_the_database_refuses_to_change_or_remove_an_entry(entry, refusing, change):
    changes = {
        "update": lambda: Entry.objects.update(why="never happened"),
        "save": entry.save,
        "delete": Entry.objects.all().delete,
        "truncate": _empty_table,
    }

    refused = pytest.raises(DatabaseError, match="audit entries are only ever added")
    with refused, transaction.atomic():
        changes[change]()

    assert list(Entry.objects.values_list("action", "why")) == [("register.loaded", "")]


def _empty_table() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            # The row's foreign keys are checked first, or PostgreSQL truncates nothing.
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("TRUNCATE audit_entry")
        else:
            cursor.execute("DELETE FROM audit_entry")


def test_entries_are_still_added_where_changes_are_refused(entry, refusing):
    record("register.loaded", by=None, obj="demo", after={"files": 2})

    assert Entry.objects.count() == 2


def test_the_latest_entry_of_an_action_is_found_by_what_it_holds(entry):
    later = record("register.loaded", by=None, obj="demo", after={"files": 2})
    record("catalogue.loaded", by=None, obj="catalogue", after={"files": 1})

    assert latest_entry("register.loaded") == later
    assert latest_entry("register.loaded", files=1) == entry
    assert latest_entry("register.loaded", files=3) is None
