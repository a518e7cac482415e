"""The travel-time table of a district: seen, downloaded, loaded after a look."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from apps.facilities.models import TravelTime
from tests.api.register import make_person
from tests.factories.facilities import make_travel_time

HEAD = "origin,destination,mode,season,hours,source,measured_on\n"
LIST, UPLOAD = "/sites/travel-times/", "/sites/travel-times/upload/"


def text(answer) -> str:
    words = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(words.replace("\N{NO-BREAK SPACE}", " ").split())


def file(rows: str) -> SimpleUploadedFile:
    return SimpleUploadedFile("times.csv", (HEAD + rows).encode(), content_type="text/csv")


def look(pages, rows: str):
    return pages.post(UPLOAD, {"district": "north", "file": file(rows)})


def test_the_table_names_the_ways_with_who_measured_them(pages, register):
    make_travel_time(register.ford, register.hill, hours=0.5, measured_on="2026-03-01")

    page = text(pages.get(LIST))

    assert "Ford Hill By vehicle, unpaved road Dry season 0.50 a driver, 1 Mar 2026" in page


def test_before_the_first_table_it_says_that_times_are_estimated(pages, register):
    assert "None yet Times on the way are estimated" in text(pages.get(LIST))


def test_an_upload_is_shown_first_and_changes_nothing(pages, register):
    make_travel_time(register.ford, register.hill, hours=0.5)

    page = text(look(pages, "ford,hill,unpaved,dry,0.75,a driver,\nhill,ford,walk,wet,3,me,\n"))

    assert "1 new, 1 changed, 0 as they are." in page
    assert "2 ford hill unpaved, dry 0.50 0.75" in page
    assert "3 hill ford walk, wet new 3" in page
    assert [time.hours for time in TravelTime.objects.all()] == [0.5]


def test_what_was_shown_is_loaded_when_it_is_confirmed(pages, register):
    shown = look(pages, "hill,ford,walk,wet,3,“me”,\n").content.decode()
    [kept] = re.findall(r'<textarea name="text" hidden>(.*?)</textarea>', shown, re.DOTALL)

    answer = pages.post(UPLOAD, {"district": "north", "text": kept, "apply": "yes"}, follow=True)

    assert "1 travel times added, 0 changed." in text(answer)
    [time] = TravelTime.objects.all()
    assert (time.origin.code, time.hours, time.source) == ("hill", 3.0, "“me”")


def test_mistakes_are_named_by_line_and_nothing_can_be_confirmed(pages, register):
    page = look(pages, "hill,ford,boat,dry,1,me,\n")

    assert "Nothing: one mistake has to be put right first." in text(page)
    assert "mode is &quot;boat&quot;" in page.content.decode()
    assert 'name="apply"' not in page.content.decode()


def test_a_confirmation_with_mistakes_loads_nothing(pages, register):
    bad = HEAD + "hill,ford,walk,dry,1,me,\nhill,coast,walk,dry,1,me,\n"

    answer = pages.post(UPLOAD, {"district": "north", "text": bad, "apply": "yes"})

    assert "Nothing was loaded: 1 mistake." in text(answer)
    assert not TravelTime.objects.exists()


def test_a_form_without_a_file_says_so(pages, register):
    answer = pages.post(UPLOAD, {"district": "north"})

    assert (answer.status_code, "Choose a file." in text(answer)) == (422, True)


def test_a_file_that_is_too_large_is_refused_before_it_is_read(pages, register):
    big = SimpleUploadedFile("times.csv", b"x" * 1_000_001)

    answer = pages.post(UPLOAD, {"district": "north", "file": big})

    assert "The file is larger than 1 MB. Part it." in text(answer)


def test_a_file_that_is_no_text_is_refused_in_words(pages, register):
    answer = pages.post(
        UPLOAD, {"district": "north", "file": SimpleUploadedFile("x.csv", b"\xff\xfe\x00")}
    )

    assert "is not UTF-8. Save the file as UTF-8." in text(answer)


def test_the_download_is_a_file_that_can_be_loaded_again(pages, register):
    make_travel_time(register.ford, register.hill, hours=0.5, source="a driver")
    content = pages.get("/sites/travel-times/times.csv").content.decode("utf-8-sig")

    assert content == HEAD.replace("\n", "\r\n") + "ford,hill,unpaved,dry,0.5,a driver,\r\n"
    upload = SimpleUploadedFile("times.csv", content.encode())
    page = text(pages.post(UPLOAD, {"district": "north", "file": upload}))
    assert "Nothing: all that it says is there already." in page


def test_an_auditor_sees_the_table_but_no_form_and_may_not_upload(browse, register):
    auditor = browse(make_person("auditor", register.north))

    assert "Load a table" not in text(auditor.get(LIST))
    assert look(auditor, "hill,ford,walk,dry,1,me,\n").status_code == 403


def test_the_table_of_a_district_of_others_is_not_found(pages, register):
    assert pages.get(f"{LIST}?district=south").status_code == 404


@pytest.mark.parametrize("more", [0, 4])
def test_the_table_takes_as_many_queries_however_many_ways(
    pages, register, django_assert_num_queries, more
):
    make_travel_time(register.ford, register.hill)
    for hours in range(more):
        season, mode = ("dry", "wet")[hours % 2], ("walk", "paved")[hours // 2]
        make_travel_time(register.ford, register.hill, season=season, mode=mode, hours=hours)

    with django_assert_num_queries(7):
        pages.get(LIST)
