"""Versions of the catalogue: published, listed, compared."""

import csv
import io

import pytest

from apps.catalogue.models import CatalogueVersion, DeviceModel, Requirement
from apps.coverage.services import publish_catalogue
from tests.api.register import make_person


@pytest.fixture
def planner(browse, register):
    return browse(make_person("planner", register.north))


@pytest.fixture
def first(register):
    """A published version, and a catalogue that was changed since."""
    version = publish_catalogue(title="First", by=None)
    Requirement.objects.update(value=546)
    DeviceModel.objects.update(price=850)
    return version


def test_before_the_first_version_the_page_says_what_to_do(pages):
    assert "No version has been published yet" in pages.get("/catalogue/versions/").content.decode()


def test_a_planner_publishes_a_version_and_is_told_its_number(planner):
    answer = planner.post("/catalogue/versions/publish/", {"title": "Year start"}, follow=True)

    assert "Published as version 1." in answer.content.decode()
    assert CatalogueVersion.objects.get().title == "Year start"


def test_publishing_nothing_new_says_so(planner, register):
    publish_catalogue(title="First", by=None)

    answer = planner.post("/catalogue/versions/publish/", {"title": "Again"}, follow=True)

    assert "Nothing has changed since version 1 (First) was published." in answer.content.decode()


def test_a_version_needs_a_title(planner):
    answer = planner.post("/catalogue/versions/publish/", {"title": " "})

    assert answer.status_code == 422
    assert "Say in a few words what is new" in answer.content.decode()
    assert not CatalogueVersion.objects.exists()


def test_an_officer_reads_versions_but_is_not_offered_to_publish(pages, first):
    page = pages.get("/catalogue/versions/").content.decode()

    assert "1 · First" in page
    assert "/catalogue/versions/publish/" not in page
    assert pages.post("/catalogue/versions/publish/", {"title": "x"}).status_code == 403


def test_the_comparison_names_rows_fields_and_the_sites_that_change(pages, first):
    page = pages.get("/catalogue/versions/compare/?before=1&after=now").content.decode()

    assert "<del>540</del> → <ins>546</ins>" in page
    assert "<del>900</del> → <ins>850</ins>" in page
    assert "Hill" in page
    assert "<del>Can run it</del> → <ins>Cannot</ins>" in page.replace("\n", "")


def test_the_comparison_shows_no_site_of_another_district(browse, register, first):
    outsider = browse(make_person("health_officer", register.south))

    page = outsider.get("/catalogue/versions/compare/?before=1&after=now").content.decode()

    assert "Hill" not in page
    assert "Coast" not in page  # its photometer is broken under either catalogue


def test_two_equal_catalogues_do_not_differ(pages, register):
    publish_catalogue(title="First", by=None)

    page = pages.get("/catalogue/versions/compare/?before=1&after=now").content.decode()
    assert "Nothing differs" in page


@pytest.mark.parametrize("query", ["before=7", "before=x", "after=-1", "before=1.5"])
def test_a_version_that_is_not_there_is_not_found(pages, first, query):
    assert pages.get(f"/catalogue/versions/compare/?{query}").status_code == 404


def test_every_change_is_in_the_file(pages, first):
    answer = pages.get("/catalogue/versions/changes.csv?before=1&after=now")

    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [(row["table"], row["field"], row["before"], row["after"]) for row in rows] == [
        ("devicemodel", "price", "900", "850"),
        ("requirement", "value", "540", "546"),
    ]


@pytest.mark.parametrize("path", ["versions/", "versions/compare/?before=1&after=now"])
def test_the_pages_take_as_many_queries_whatever_the_catalogue_holds(
    pages, first, path, django_assert_max_num_queries
):
    with django_assert_max_num_queries(75):
        pages.get(f"/catalogue/{path}")
