import hashlib
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import rfc8785
from django.core.management import call_command

from apps.accounts.choices import Role
from apps.audit.models import EVERYWHERE, ChainEnd, Entry
from apps.audit.selectors import ChainState, chain_state
from apps.audit.services import record
from tests.factories.accounts import make_person
from tests.factories.facilities import make_block, make_district, make_facility

pytestmark = pytest.mark.django_db


@pytest.fixture
def history() -> list[Entry]:
    """Five entries, with values that databases like to change."""
    return [
        record("area.renamed", by=None, obj=f"area-{n}", after={"n": n, "share": 0.1 * n})
        for n in range(5)
    ]


def test_a_digest_can_be_worked_out_from_the_entry_and_the_digest_before(history):
    """SHA-256 over RFC 8785 JSON, by the libraries themselves."""
    entry, before = history[3], history[2]
    content = {
        "previous": before.digest,
        "at": entry.at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f+00:00"),
        "by": None,
        "action": "area.renamed",
        "object_type": "name",
        "object_key": "area-3",
        "place": "",
        "before": None,
        "after": {"n": 3, "share": 0.1 * 3},
        "why": "",
    }

    assert entry.digest == hashlib.sha256(rfc8785.dumps(content)).hexdigest()


def test_a_history_that_nobody_touched_holds(history):
    assert chain_state() == ChainState(5, history[-1].digest, None, 0)
    assert ChainEnd.objects.get().length == 5


def test_no_history_at_all_holds():
    assert chain_state() == ChainState(0, "", None, 0)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("at", datetime(2020, 1, 1, tzinfo=UTC)),
        ("action", "area.removed"),
        ("object_type", "facilities.area"),
        ("object_key", "another"),
        ("place", "north/"),
        ("before", {"n": 1}),
        ("after", {"n": 2, "share": 0.30000001}),
        ("why", "never happened"),
    ],
)
def test_an_entry_that_was_changed_is_noticed_there(history, field, value):
    Entry.objects.filter(pk=history[2].pk).update(**{field: value})

    assert chain_state().broken_at == history[2].pk


def test_an_entry_put_under_another_name_is_noticed_there(history):
    Entry.objects.filter(pk=history[1].pk).update(by=make_person())

    assert chain_state().broken_at == history[1].pk


def test_an_entry_that_was_removed_is_noticed_at_the_next(history):
    Entry.objects.filter(pk=history[2].pk).delete()

    assert chain_state().broken_at == history[3].pk


def test_the_last_entries_cannot_be_removed_unnoticed(history):
    Entry.objects.filter(pk__gte=history[3].pk).delete()

    state = chain_state()
    assert (state.broken_at, state.missing, state.holds) == (None, 2, False)


def test_a_last_entry_that_was_replaced_with_its_digest_is_noticed(history):
    last = Entry.objects.get(pk=history[4].pk)
    last.why = "never happened"
    Entry.objects.filter(pk=last.pk).update(
        why=last.why, digest=last.digest_after(history[3].digest)
    )

    assert chain_state().broken_at == last.pk


def test_what_the_database_gives_back_has_the_digest_of_what_was_recorded():
    """Whole numbers past 2^53, decimals, dates and floats of every size."""
    values = {
        "huge": 10**22, "minus": -(2**60), "tiny": 1e-300, "whole": 1.0, "money": Decimal("1.10"),
        "on": date(2026, 3, 1), "none": None, "yes": True, "list": [1, [2.5, "ä"]], "é": "“”\n",
    }  # fmt: skip
    record("plan.drafted", by=None, obj="plan", before=values, after={"nested": values})

    assert chain_state().holds


def test_the_command_says_that_it_holds_and_prints_the_digest_to_keep(history, capsys):
    call_command("check_history")

    assert capsys.readouterr().out == (
        "The history holds: 5 entries, each following from the one before.\n"
        f"Digest of the last: {history[-1].digest}\n"
    )


def test_the_command_names_the_entry_that_does_not_follow(history, capsys):
    Entry.objects.filter(pk=history[2].pk).update(why="x")

    with pytest.raises(SystemExit) as stopped:
        call_command("check_history")

    assert stopped.value.code == 1
    assert capsys.readouterr().err == (
        f"The history is broken: entry {history[2].pk} does not follow from the one before it.\n"
        "It was changed, or entries before it were removed or put in. Compare with a backup.\n"
    )


def test_the_command_counts_what_is_missing_at_the_end(history, capsys):
    Entry.objects.filter(pk=history[4].pk).delete()

    with pytest.raises(SystemExit):
        call_command("check_history")

    assert "1 entry is missing at its end" in capsys.readouterr().err


def test_the_command_compares_with_a_digest_that_was_kept(history, capsys):
    call_command("check_history", kept=history[1].digest)
    assert "the kept digest is that of entry 2" in capsys.readouterr().out

    with pytest.raises(SystemExit):
        call_command("check_history", kept="0" * 64)
    assert "holds no entry with the kept digest" in capsys.readouterr().err


def test_an_entry_knows_in_which_area_its_object_lies():
    block = make_block("east", make_district("north"))
    facility = make_facility("hill", block)

    placed = [record("x.changed", by=None, obj=each).place for each in (block, facility, "name")]

    assert placed == ["north/east/", "north/east/", ""]


def test_a_steward_sees_the_history_of_the_own_areas_and_of_what_belongs_to_none():
    north, south = make_district("north"), make_district("south")
    officer = make_person()
    officer.stewardships.create(area=north)
    for obj in (north, south, "catalogue"):
        record("x.changed", by=None, obj=obj)
    record("x.loaded", by=None, obj="files", place=EVERYWHERE)

    def seen(person):
        entries = Entry.objects.visible_to(person, people=True).order_by("pk")
        return list(entries.values_list("object_key", flat=True))

    assert seen(officer) == ["north", "catalogue"]
    assert seen(make_person("admin", role=Role.ADMINISTRATOR, is_superuser=True)) == [
        "north",
        "south",
        "catalogue",
        "files",
    ]


def test_entries_on_accounts_are_shown_only_where_people_are_asked_for():
    person = make_person()
    record("user.made", by=None, obj=person)
    reader = make_person("reader")

    assert list(Entry.objects.visible_to(reader, people=False)) == []
    assert Entry.objects.visible_to(reader, people=True).count() == 1
