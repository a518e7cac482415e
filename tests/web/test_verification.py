"""Can a device be trusted: the list, a device, its readings written down, what they come to."""

import csv
import io
import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from apps.catalogue.models import DeviceClass, Method
from apps.inventory.models import EquipmentItem, Verification
from tests.api.register import make_person
from tests.factories.catalogue import make_limit
from tests.factories.inventory import make_verification
from tests.factories.verifying import pairs

LIST_QUERIES = 7
WHAT = "paired:acceptance:haemoglobin-photometry:haemoglobin"
RECORD = f"/verification/items/hill-001/record/?what={WHAT}"


@pytest.fixture
def limits(register) -> None:
    given = {"method": Method.objects.get(), "analyte": "haemoglobin", "ucum": "g/dL"}
    make_limit("bias", **given, minimum_samples=20, valid_months=12)
    make_limit(
        "agreement", **given, measure="limits_of_agreement", low=-3, high=3, minimum_samples=20
    )


@pytest.fixture
def item(register, limits) -> EquipmentItem:
    return EquipmentItem.objects.get(code="hill-001")


def answers(**changed) -> dict[str, str]:
    given = {
        "done_on": timezone.localdate().isoformat(),
        "operator": "technician",
        "reference": "Analyser of the district hospital",
        "traceability": "Control lot 7",
        "readings": pairs(20, off=0.2),
        "note": "",
    }
    return {**given, **changed}


def text_of(answer) -> str:
    return " ".join(answer.content.decode().split())


def test_the_list_names_every_device_with_limits_and_what_is_known_of_it(pages, item):
    page = text_of(pages.get("/verification/"))

    assert "North has one working device with limits to keep." in page
    assert 'href="/verification/items/hill-001/">Cuvette photometer</a>' in page
    assert re.search(r"Never verified</span> ?</a> <b>1</b>", page)


def test_the_list_narrows_as_the_address_says(pages, item):
    make_verification(item, outcome="fail")

    shown = {
        query: "hill-001" in text_of(pages.get(f"/verification/{query}"))
        for query in ("", "?standing=failed", "?standing=valid", "?text=HILL", "?text=zzz")
    }

    assert shown == {
        "": True, "?standing=failed": True, "?standing=valid": False, "?text=HILL": True,
        "?text=zzz": False,
    }  # fmt: skip


@pytest.mark.parametrize("more", [0, 3])
def test_the_list_takes_the_same_number_of_queries_however_many_devices(
    pages, item, django_assert_num_queries, more
):
    for number in range(more):
        extra = EquipmentItem.objects.create(
            code=f"hill-9{number}", facility=item.facility, device_model=item.device_model,
            condition="in_use",
        )  # fmt: skip
        make_verification(extra)

    with django_assert_num_queries(LIST_QUERIES):
        pages.get("/verification/")


def test_readings_that_agree_are_kept_and_the_answer_is_shown_at_once(pages, item):
    answer = pages.post(RECORD, answers(), follow=True)

    made = Verification.objects.get()
    assert answer.redirect_chain == [(f"/verification/records/{made.code}/", 302)]
    assert (made.outcome, made.analyte, made.operator) == ("pass", "haemoglobin", "technician")
    page = text_of(answer)
    assert "Same specimens on the device and on a reference, haemoglobin: passed" in page
    assert "keeps it" in page
    assert "0.2 g/dL" in page
    assert "local rules and licensed staff decide" in page


def test_readings_that_do_not_agree_fail_and_say_what_to_do(pages, item):
    page = text_of(pages.post(RECORD, answers(readings=pairs(20, off=2)), follow=True))

    assert "haemoglobin: failed" in page
    assert "breaks it" in page
    assert "Do not use it for this until it is put right and verified again." in page


def test_too_few_readings_say_how_many_more(pages, item):
    page = text_of(pages.post(RECORD, answers(readings=pairs(19)), follow=True))

    assert "not enough readings" in page
    assert "Take 1 reading more." in page


def test_each_row_that_cannot_be_read_is_named_and_nothing_is_kept(pages, item):
    readings = "device,reference\n12.1,12\n12;5\n,13\nabc,14\n"

    page = text_of(pages.post(RECORD, answers(readings=readings)))

    assert "row 4, device: expected a number such as 12.5, found &#x27;&#x27;" in page
    assert "row 5, device: expected a number such as 12.5, found &#x27;abc&#x27;" in page
    assert "Nothing was saved." in page
    assert "12.1,12" in page
    assert not Verification.objects.exists()


def test_readings_in_two_units_are_refused_beside_the_readings(pages, item):
    readings = "\n".join(f"{value * 10} {value}" for value in range(10, 30))

    page = text_of(pages.post(RECORD, answers(readings=readings)))

    assert "Are both in the same unit, and in the right columns?" in page
    assert not Verification.objects.exists()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"done_on": "2999-01-01"}, "The day lies in the future."),
        ({"reference": ""}, "This field is required."),
        ({"operator": "chief"}, "Select a valid choice."),
        (
            {"readings": ""},
            "expected rows of device, reference, repeat (may be left out), found none",
        ),
    ],
)
def test_a_fact_that_cannot_be_is_refused_beside_its_question(pages, item, changed, said):
    page = text_of(pages.post(RECORD, answers(**changed)))

    assert said in page
    assert not Verification.objects.exists()


def test_readings_may_come_as_a_file_but_not_twice(pages, item):
    def file():
        return SimpleUploadedFile("r.csv", b"\xef\xbb\xbf" + pairs(20).encode())

    twice = pages.post(RECORD, answers(readings_file=file()))
    once = pages.post(RECORD, answers(readings="", readings_file=file()))

    assert "Give the readings or a file, not both." in text_of(twice)
    assert once.status_code == 302
    assert Verification.objects.get().figures["n"] == 20


def test_a_file_that_is_not_text_is_refused(pages, item):
    file = SimpleUploadedFile("r.csv", b"\xff\xfe1\x00")

    page = text_of(pages.post(RECORD, answers(readings="", readings_file=file)))

    assert "The file is not UTF-8." in page


def test_the_file_of_readings_can_be_read_in_again(pages, item):
    pages.post(RECORD, answers())
    made = Verification.objects.get()

    text = pages.get(f"/verification/records/{made.code}/readings.csv").content.decode()

    rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))
    assert rows[0] == ["device", "reference"]
    assert len(rows) == 21
    pages.post(RECORD, answers(readings=text.removeprefix("\ufeff")))
    assert Verification.objects.first().figures == made.figures


def test_the_chart_holds_every_specimen_and_the_three_lines(pages, item):
    answer = pages.post(RECORD, answers(), follow=True)

    found = re.search(r'<script id="readings-chart"[^>]*>(.*?)</script>', answer.content.decode())
    figure = json.loads(found[1])
    assert [len(trace["x"]) for trace in figure["data"]] == [20, 2, 2, 2]
    made = Verification.objects.get()
    assert figure["data"][2]["y"] == [made.figures["bias"]] * 2


def test_a_speed_log_is_drawn_and_gives_the_force(pages, register, item):
    photometer = DeviceClass.objects.get()
    make_limit(
        "speed", device_class=photometer, rule="inspection", measure="speed_error_pct", low=-10,
        high=10, ucum="%",
    )  # fmt: skip
    address = "/verification/items/hill-001/record/?what=spin:inspection:photometer:"
    readings = "run seconds rpm\n1 0 3000\n1 60 3000\n2 0 2900\n2 60 2900"

    page = text_of(
        pages.post(
            address,
            answers(readings=readings, radius_cm="15", set_rpm="3,000", setting="greatest"),
            follow=True,
        )
    )

    assert "Speed log of a spin: passed" in page
    # 2900 rpm at 15 cm, the weaker of both runs.
    assert "1 411 g" in page


def test_yes_and_no_are_counted_in_a_table_of_two_by_two(pages, item):
    make_limit(
        "sens", method=Method.objects.get(), rule="pilot", measure="sensitivity", low=0.8,
        high=None, ucum="1", minimum_samples=5,
    )  # fmt: skip
    address = "/verification/items/hill-001/record/?what=yes_no:pilot:haemoglobin-photometry:"
    readings = "pos pos\nneg neg\n" * 5 + "neg pos"

    page = text_of(pages.post(address, answers(readings=readings), follow=True))

    assert 'Only the reference positive</th><td class="number">1</td>' in page
    assert "83.33 %" in page


def test_a_blank_sheet_has_the_limits_the_cautions_and_a_line_for_each_reading(pages, item):
    page = pages.get(f"/verification/items/hill-001/sheet/?what={WHAT}").content.decode()

    assert "Handle every specimen as infectious" in page
    assert "Mean difference from the reference, haemoglobin" in page
    assert page.count('<th scope="row">') == 20


def test_what_cannot_be_verified_is_not_found(pages, item):
    for page in ("record", "sheet"):
        answer = pages.get(f"/verification/items/hill-001/{page}/?what=spin:x:y:")
        assert answer.status_code == 404


def test_a_verification_is_withdrawn_with_a_reason_and_stays_to_be_seen(pages, item):
    made = make_verification(item, kind="yes_no", figures=_table())
    address = f"/verification/records/{made.code}/"

    refused = pages.post(f"{address}withdraw/", {"why": " "})
    done = pages.post(f"{address}withdraw/", {"why": "Wrong device"}, follow=True)

    assert "Say why it is withdrawn." in text_of(refused)
    assert "Wrong device" in text_of(done)
    assert "Withdrawn" in text_of(pages.get("/verification/items/hill-001/"))


def test_a_repair_ends_what_was_measured_before(pages, item):
    make_verification(item)

    page = text_of(
        pages.post(
            "/verification/items/hill-001/changed/",
            {"ending": "repaired", "changed_on": timezone.localdate().isoformat()},
            follow=True,
        )
    )

    assert "1 verification ended." in page
    assert "To be verified again: the device has changed" in page


def test_a_device_of_another_district_is_not_found(browse, register, item):
    made = make_verification(item)
    outsider = browse(make_person("health_officer", register.south))

    for name, code in (
        ("item", item.code), ("record", item.code), ("sheet", item.code), ("detail", made.code),
        ("readings", made.code),
    ):  # fmt: skip
        assert outsider.get(reverse(f"web:verification-{name}", args=[code])).status_code == 404
    for name, code in (("end", item.code), ("withdraw", made.code)):
        assert outsider.post(reverse(f"web:verification-{name}", args=[code])).status_code == 404
    assert "hill-001" not in text_of(outsider.get("/verification/"))


@pytest.mark.parametrize("role", ["auditor", "planner"])
def test_a_role_that_may_not_verify_is_neither_offered_nor_let(browse, register, item, role):
    made = make_verification(item, kind="yes_no", figures=_table())
    reader = browse(make_person(role, register.north))

    shown = "".join(
        text_of(reader.get(path))
        for path in ("/verification/items/hill-001/", f"/verification/records/{made.code}/")
    )

    assert [word in shown for word in ("/record/", "/withdraw/", "/changed/")] == [False] * 3
    assert reader.post(RECORD, answers()).status_code == 403
    assert Verification.objects.count() == 1


def _table() -> dict:
    return {
        "true_positive": 1, "false_positive": 0, "false_negative": 0, "true_negative": 1, "n": 2,
        "sensitivity": None, "specificity": None, "agreement": 1, "kappa": 1, "checks": [],
        "unit": "",
    }  # fmt: skip
