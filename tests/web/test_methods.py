"""The pages of methods: what they take, how good they are, which devices suit, what they cost."""

import pytest

from apps.catalogue.models import DeviceModel, Method
from tests.factories.catalogue import (
    make_consumable,
    make_control,
    make_device_class,
    make_device_model,
    make_limit,
    make_method,
    make_need,
    make_range,
    make_spin,
    make_step,
    make_study,
    make_test,
    make_use,
)
from tests.web.scene import make_assessment, make_finding

pytestmark = pytest.mark.django_db
LIST_QUERIES = 2
# Of the page of a method, to a visitor.
PAGE_QUERIES = 20


@pytest.fixture
def centrifuge():
    return make_device_class("centrifuge", rcf_max_g="number", motor_driven="flag")


@pytest.fixture
def method(centrifuge) -> Method:
    made = make_method(
        "prothrombin-tilt",
        make_test("prothrombin"),
        name="Tilt tube",
        sensitivity=0.9,
        clinical_grade="routine",
        cadre="K3",
        batch_size=10,
        minutes_per_batch=15,
        minutes_per_sample=4.5,
        consumable_cost=1,
    )
    need = make_need(made, centrifuge, rcf_max_g=("min", 1500))
    spin = make_spin("plasma", rcf_g=(1500, 2000), acceptance="No shorter at more force.")
    make_step(made, "spin", text="Spin to plasma.", minutes=15, need=need, spin=spin)
    return made


def get(client, path: str = "/methods/prothrombin-tilt/", **query: str) -> str:
    page = client.get(path, query).content.decode()
    for space in ("\N{NARROW NO-BREAK SPACE}", "\N{NO-BREAK SPACE}"):
        page = page.replace(space, " ")
    return " ".join(page.split())


def section(page: str, heading: str) -> str:
    return page.partition(f">{heading}</h2>")[2].partition("<h2")[0]


def test_a_method_says_who_does_it_for_what_and_in_what_time(client, method):
    page = get(client)

    # 15 minutes a batch of 10 and 4.5 a sample are 6 minutes a test
    assert "Routine. Done by at least a laboratory technician, in 6 hands-on minutes" in page
    assert "10 samples together" in page
    assert "15 a batch and 4.5 a sample" in page


def test_a_step_shows_its_minutes_its_device_and_the_force_that_its_source_states(client, method):
    steps = section(get(client), "Step by step")

    assert "Spin to plasma." in steps
    assert "15 min" in steps
    assert "Plasma: 1,500–2,000 g at r_max, the tube tip, 10 min; force and time as stated" in steps
    assert "No shorter at more force." in steps


@pytest.mark.parametrize(
    ("kind", "words"),
    [("planning_default", "planning default"), ("published", "x (published)")],
)
def test_each_number_says_what_kind_it_is_and_a_default_never_passes_for_published(
    client, method, kind, words
):
    method.sensitivity_kind = kind
    method.save()

    sensitivity = get(client).partition("<dt>Sensitivity</dt>")[2].partition("</dd>")[0]

    assert words in sensitivity
    assert ('class="is-default"' in sensitivity) == (kind == "planning_default")


def test_an_unknown_specificity_is_said_to_be_unknown(client, method):
    shown = get(client).partition("<dt>Specificity</dt>")[2].partition("</dd>")[0]

    assert shown == '<dd><span class="not-known">not known</span>'


def test_a_requirement_shows_comparator_unit_and_radius(client, method, centrifuge):
    centrifuge.attributes.filter(code="rcf_max_g").update(ucum="[g]", radius="r_max")

    devices = section(get(client), "Devices: what is asked, and which models suit")

    assert "at least 1 500 g" in devices
    assert "at r_max, the tube tip" in devices


def test_models_are_told_apart_by_the_engines_own_matching(client, method, centrifuge):
    for code, specs in (
        ("strong", {"rcf_max_g": 1500}),
        ("weak", {"rcf_max_g": 1499}),
        ("mute", {}),
    ):
        make_device_model(code, centrifuge, specs=specs)

    devices = section(get(client), "Devices: what is asked, and which models suit")

    suit, _, rest = devices.partition("<details")
    unknown, _, fail = rest.partition("<details")
    assert [
        [name in part for name in ("/strong/", "/mute/", "/weak/")]
        for part in (suit, unknown, fail)
    ] == [[True, False, False], [False, True, False], [False, False, True]]
    assert "needs at least 1 500 g, reaches 1 499 g" in fail
    assert "is not known" in unknown


def test_a_method_that_no_plan_counts_still_says_which_devices_suit(client, method, centrifuge):
    make_device_model("strong", centrifuge, specs={"rcf_max_g": 1500})
    method.clinical_grade = "investigational"
    method.save()

    page = get(client)

    assert "Investigational; never counted." in page
    assert '<a href="/devices/strong/">' in page


def test_a_test_costs_its_share_of_the_cheapest_accepted_device_and_its_supplies(
    client, method, centrifuge
):
    make_range(centrifuge, "life_years", 10, 10)
    cheap = {"price": 100, "annual_cost": 5, "specs": {"rcf_max_g": 2000}}
    make_device_model("prototype", centrifuge, evidence="D", **{**cheap, "price": 1})
    make_device_model("cheap", centrifuge, **cheap)
    make_device_model("dear", centrifuge, **{**cheap, "price": 5000})

    costs = section(get(client), "What a test costs")

    # 100 / a(3 %, 10 years) = 100 / 8.5302 = 11.72 a year; with 5 of upkeep 16.72; over 100
    # tests 0.17, and 1 of supplies (annuity tables)
    assert 'value="1.167' in costs
    assert ">1.17<" in costs


def test_without_an_accepted_device_only_supplies_are_priced(client, method, centrifuge):
    make_device_model("prototype", centrifuge, evidence="C", specs={"rcf_max_g": 2000})

    assert "only the supplies can be priced" in section(get(client), "What a test costs")


def test_controls_limits_supplies_and_studies_are_shown_with_their_figures(client, method):
    make_control(method, "level", every=1, interval="day", extra_tests_share=0.1)
    make_control(method, "external", every=4, interval="month", extra_tests_share=0.01)
    make_limit(
        "error",
        method=method,
        low=-15,
        high=15,
        ucum="%",
        measure="total_error_pct",
        valid_months=6,
    )
    strip = make_consumable(
        "strip", name="Strip", storage="cool", shelf_life_months=12, unit_price="0.5"
    )
    make_use(method, strip, 2)
    counts = {"true_positive": 45, "false_negative": 5, "true_negative": 90, "false_positive": 10}
    make_study("field", method=method, n=150, reference="Coagulometer", **counts)

    page = get(client)

    assert "Control of known level: every day, 10 % more tests" in page
    assert "External assessment: every 4 months, 1 % more tests" in page
    assert "±15 %" in section(page, "Must keep to")
    assert "6 months" in section(page, "Must keep to")
    supplies = section(page, "Supplies")
    assert "At 2-8 degrees C" in supplies
    assert "12 months" in supplies
    # 45 of 50: Wilson 95 % interval 78.6 to 95.7 (Newcombe 1998, method 3)
    assert "90 % (78.6–95.7)" in section(page, "Studies")


def test_other_ways_to_do_the_test_stand_beside_it(client, method):
    make_method("prothrombin-strip", method.test, name="Strip meter", sensitivity=0.93)

    others = section(get(client), "Other ways to do the same test")

    assert '<a href="/methods/prothrombin-strip/">Strip meter</a>' in others
    assert "Tilt tube <span" in others


def test_a_visitor_is_told_nothing_of_any_district(client, register):
    make_finding(make_assessment(register.north), register.hill, "runs")

    page = get(client, "/methods/haemoglobin-photometry/")

    assert [word in page for word in ("North", "Hill", "can run it")] == [False] * 3


def test_somebody_signed_in_is_told_at_how_many_sites_of_the_district_it_runs(pages, register):
    assessment = make_assessment(register.north)
    make_finding(assessment, register.hill, "runs")
    make_finding(assessment, register.ford, "blocked")

    page = get(pages, "/methods/haemoglobin-photometry/")

    assert "One site of North can run it." in page


def test_a_method_that_is_not_there_is_not_found(client, method):
    assert client.get("/methods/nothing/").status_code == 404


@pytest.mark.parametrize("parts", [1, 3])
def test_a_method_takes_as_many_queries_however_much_hangs_on_it(
    client, method, centrifuge, django_assert_num_queries, parts
):
    for number in range(parts):
        make_device_model(f"model-{number}", centrifuge, specs={"rcf_max_g": 2000})
        make_step(method, "spin", spin=make_spin(f"spin-{number}"), need=method.needs.get())
        make_control(method, ["positive", "negative", "level"][number])
        make_use(method, make_consumable(f"item-{number}"))
        make_study(f"study-{number}", method=method)
        make_limit(f"limit-{number}", method=method)
        make_method(f"other-{number}", method.test)

    with django_assert_num_queries(PAGE_QUERIES):
        page = get(client)

    assert page.count('<a href="/devices/model-') == parts


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_as_many_queries_for_three_methods_as_for_one(
    client, django_assert_num_queries, count
):
    for number in range(count):
        make_method(f"method-{number}", make_test(f"test-{number}"))

    with django_assert_num_queries(LIST_QUERIES):
        page = get(client, "/methods/")

    assert page.count('<a href="/methods/method-') == count


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"text": "TILT"}, 1),
        ({"text": "prothrombin"}, 1),
        ({"text": "zinc"}, 0),
        ({"programme": "general"}, 1),
        ({"programme": "nowhere"}, 1),
    ],
)
def test_the_list_narrows_by_name_and_programme(client, method, query, found):
    assert get(client, "/methods/", **query).count('<a href="/methods/prothrombin') == found


def test_only_models_of_the_needed_class_are_held_against_it(client, method, centrifuge):
    make_device_model("scope", make_device_class("microscope"))

    assert DeviceModel.objects.count() == 1
    assert "/devices/scope/" not in get(client)
