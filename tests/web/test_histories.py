"""The history as people read it: within reach, narrowed, object by object, as a file."""

import csv
import datetime as dt
import io

import pytest
from django.utils import timezone

from apps.audit.models import Entry
from apps.audit.services import record
from tests.api.register import make_person

LONG = "x" * 500


@pytest.fixture
def history(register, officer):
    record(
        "facility.changed",
        by=officer,
        obj=register.hill,
        before={"population": 11_000, "name": "Hill"},
        after={"population": 12_000, "name": "Hill", "note": LONG},
        why="counted anew",
    )
    record("facility.changed", by=None, obj=register.coast, after={"population": 5_000})
    record("catalogue.published", by=None, obj="catalogue", after={"number": 1})
    record("user.made", by=None, obj=officer, after={"role": "health_officer"})


def shown(client, path="/history/"):
    return client.get(path).content.decode()


def test_an_entry_says_who_when_what_from_what_to_what_and_why(pages, history, officer):
    page = shown(pages)

    assert officer.username in page
    assert "facility changed" in page
    assert "<del>11000</del> → <ins>12000</ins>" in page
    assert "counted anew" in page
    assert "the service itself" in page


def test_a_value_that_stayed_is_not_told_and_a_long_one_is_cut(pages, history):
    page = shown(pages)

    assert "<dt>name</dt>" not in page
    assert "x" * 160 + "…" in page
    assert LONG not in page


def test_nothing_of_another_district_and_nothing_on_people_is_shown_to_an_officer(pages, history):
    page = shown(pages)

    assert "coast" not in page
    assert "user made" not in page
    assert "catalogue published" in page


def test_an_auditor_sees_changes_of_accounts(browse, register, history):
    assert "user made" in shown(browse(make_person("auditor", register.north)))


def test_somebody_in_charge_of_a_facility_does_not_see_the_history(browse, register, history):
    in_charge = browse(make_person("in_charge", register.north))

    assert in_charge.get("/history/").status_code == 403


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("kind=facilities.facility", ["facility changed"]),
        ("key=HILL", ["facility changed"]),
        ("by=Somebody-else", []),
        ("kind=name", ["catalogue published"]),
    ],
)
def test_the_history_is_narrowed_by_what_is_asked_for(pages, history, query, found):
    page = shown(pages, f"/history/?{query}")

    told = [
        done
        for done in ("facility changed", "catalogue published")
        if f'<td data-head="What was done">{done}' in page
    ]
    assert told == found
    assert ("No entry fits" in page) == (not found)


def test_a_day_has_its_own_page(pages, history):
    today = timezone.now().date()
    tomorrow = today + dt.timedelta(days=1)

    assert "facility changed" in shown(pages, f"/history/?since={today}&until={today}")
    assert "No entry fits" in shown(pages, f"/history/?since={tomorrow}&until={tomorrow}")


def test_an_object_has_its_own_page(pages, history):
    page = shown(pages, "/history/facilities.facility/hill/")

    assert "What happened to hill" in page
    assert "catalogue published" not in page


@pytest.mark.parametrize(
    "path", ["facilities.facility/coast/", "facilities.facility/nowhere/", "nothing/x/"]
)
def test_an_object_out_of_reach_is_not_found(pages, history, path):
    assert pages.get(f"/history/{path}").status_code == 404


def test_the_file_holds_the_same_entries_whole(pages, history):
    answer = pages.get("/history/entries.csv?kind=facilities.facility")

    [row] = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert (row["object_key"], row["why"], LONG in row["after"]) == ("hill", "counted anew", True)
    assert row["digest"] == Entry.objects.get(object_key="hill").digest


def test_the_page_says_whether_the_history_itself_was_changed(pages, history):
    assert "No: all 4 entries are as they were written" in shown(pages, "/history/chain/")

    entry = Entry.objects.get(object_key="hill")
    Entry.objects.filter(pk=entry.pk).update(why="never happened")
    assert f"Yes: entry {entry.pk} does not follow" in shown(pages, "/history/chain/")


def test_the_last_entries_missing_are_counted(pages, history):
    Entry.objects.latest("pk").delete()

    assert "Yes: one entry is missing at the end." in shown(pages, "/history/chain/")


def test_the_list_takes_as_many_queries_for_many_entries(
    pages, history, register, django_assert_max_num_queries
):
    for n in range(60):
        record("facility.changed", by=None, obj=register.hill, after={"n": n})

    with django_assert_max_num_queries(10):
        page = shown(pages)
    assert page.count("<time") == 50
