"""The pages of device models: what they claim, what physics and evidence say, what to verify."""

import pytest

from apps.catalogue.models import DeviceModel
from tests.factories.catalogue import (
    make_device_class,
    make_device_model,
    make_limit,
    make_method,
    make_need,
    make_range,
    make_study,
    make_test,
)
from tests.web.spinning import make_centrifuge_class
from tests.web.test_methods import get, section

pytestmark = pytest.mark.django_db
LIST_QUERIES = 4
PAGE_QUERIES = 15
DISC = {"rcf_max_g": 30_000, "r_max_cm": 0.17, "motor_driven": False, "tube_ml": [0.075]}


@pytest.fixture
def centrifuge():
    return make_centrifuge_class()


@pytest.fixture
def disc(centrifuge) -> DeviceModel:
    return make_device_model(
        "disc",
        centrifuge,
        name="Paper disc",
        specs=DISC,
        evidence="D",
        is_low_cost=True,
        price="0.3",
        cautions="For teaching only. Sharps, see doi 10.4269/x. Not for sputum.",
    )


def device(client, code: str = "disc") -> str:
    return get(client, f"/devices/{code}/")


def test_what_a_model_claims_is_shown_in_words_with_units_and_source(client, disc):
    claims = section(device(client), "What it claims")

    assert "30 000 g" in claims
    assert "0.17 cm" in claims
    assert "x (invented for the demo)" in claims


def test_physics_judges_what_the_model_claims_and_the_check_repeats_it(client, disc):
    page = device(client)

    physics = section(page, "What physics says")
    assert "The implied" in physics or "The stated radius of 0.17 cm is too small" in physics
    assert "/devices/check/?radius_cm=0.17&amp;radius_kind=r_max&amp;rcf_g=30000" in physics
    query = physics.partition("/devices/check/?")[2].partition('"')[0].replace("&amp;", "&")
    assert "The claim contradicts itself." in get(client, f"/devices/check/?{query}")


def test_a_model_whose_figures_cannot_be_says_so(client, centrifuge):
    make_device_model("dream", centrifuge, specs={"r_max_cm": 160})

    physics = section(device(client, "dream"), "What physics says")

    assert "The figures it states cannot be:" in physics
    assert "radius: expected a number above 0 and at most 50 cm, found 160" in physics


def test_of_another_class_physics_has_nothing_to_contradict(client):
    make_device_model("scope", make_device_class("microscope"))

    assert "nothing for physics to contradict" in device(client, "scope")


def test_of_a_microscope_optics_says_what_its_aperture_resolves_and_links_to_the_check(client):
    numbers = {"magnification_total": "number", "objective_na_100": "number"}
    scope = make_device_class("microscope", **numbers)
    make_device_model("oil", scope, specs={"magnification_total": 1000, "objective_na_100": 1.25})

    physics = section(device(client, "oil"), "What physics says")

    # 0.61 * 550 nm / 1.25 = 268 nm (Rayleigh)
    assert "tells two points apart from 0.27 µm on" in physics
    assert "/devices/check/microscope/?magnification=1000&amp;aperture=1.25&amp;objective=100" in (
        physics
    )


def test_of_a_photometer_too_wide_a_band_is_called_out(client):
    photometer = make_device_class("photometer", bandwidth_nm="number", wavelengths_nm="list")
    make_device_model("led", photometer, specs={"bandwidth_nm": 35, "wavelengths_nm": [525, 620]})

    physics = section(device(client, "led"), "What physics says")

    assert "A band of 35 nm is wide" in physics
    assert "?wavelengths_nm=525%2C620&amp;bandwidth_nm=35" in physics


@pytest.mark.parametrize(
    ("grade", "words"),
    [("A", False), ("B", False), ("C", True), ("D", True)],
)
def test_a_model_below_b_is_said_to_be_neither_bought_nor_counted(client, disc, grade, words):
    disc.evidence = grade
    disc.save()

    assert ("plans neither buy nor count it" in device(client)) == words


def test_a_grade_better_than_the_studies_support_is_called_out_with_what_is_missing(client, disc):
    disc.evidence = "B"
    disc.save()
    make_study("one", device_model=disc, setting="laboratory", n=80, reference="Electric")

    evidence = section(device(client), "What evidence says")

    assert "gives it grade B; its approval and the studies that are known support C." in evidence
    assert "For the next better grade it lacks: approval in the country" in evidence


def test_studies_show_setting_size_reference_and_intervals(client, disc):
    figures = {"sensitivity": 0.56, "sensitivity_low": 0.5, "sensitivity_high": 0.62}
    make_study("field", device_model=disc, n=300, reference="Microscopy", **figures)

    studies = section(device(client), "The studies")

    assert [word in studies for word in ("Field", ">300<", "Microscopy", "56 % (50.0–62.0)")] == [
        True
    ] * 4
    assert "not reported" in studies


def test_for_each_method_it_qualifies_does_not_or_is_unknown_with_the_reason(
    client, disc, centrifuge
):
    for code, low in (("easy", 30_000), ("hard", 30_001)):
        make_need(make_method(code, make_test(code)), centrifuge, rcf_max_g=("min", low))
    need = make_method("slow", make_test("slow"))
    make_need(need, centrifuge, continuous_run_min=("min", 5))

    found = section(device(client), "For which methods it qualifies")

    met, _, rest = found.partition("<details")
    unknown, _, fails = rest.partition("<details")
    assert [
        [f"/methods/{code}/" in part for code in ("easy", "slow", "hard")]
        for part in (met, unknown, fails)
    ] == [[True, False, False], [False, True, False], [False, False, True]]
    assert "needs at least 30 001 g, reaches 30 000 g" in fails


def test_what_is_unknown_and_the_limits_of_its_class_must_be_verified(client, disc, centrifuge):
    make_need(make_method("slow", make_test("slow")), centrifuge, continuous_run_min=("min", 5))
    make_limit("speed", device_class=centrifuge, low=-10, high=10, measure="speed_error_pct")

    verify = section(device(client), "What must be verified before use")

    assert "<li>measure or find continuous_run_min" in verify
    assert "of Paper disc</li>" in verify
    assert "±10 %" in verify


def test_the_measurement_that_the_catalogue_names_is_the_one_to_make(client, disc, centrifuge):
    observed = {"name": "Longest run", "observation": "time how long it holds the speed"}
    centrifuge.attributes.filter(code="continuous_run_min").update(**observed)
    make_need(make_method("slow", make_test("slow")), centrifuge, continuous_run_min=("min", 5))

    verify = section(device(client), "What must be verified before use")

    assert "<li>Longest run: time how long it holds the speed</li>" in verify


def test_cautions_are_a_list_and_rules_and_staff_decide(client, disc):
    page = device(client)

    cautions = section(page, "Cautions")
    assert cautions.count("<li>") == 3
    assert "<li>Sharps, see doi 10.4269/x.</li>" in cautions
    assert "Local rules and licensed staff decide" in page


def test_price_and_running_cost_say_that_they_are_planning_defaults(client, disc, centrifuge):
    disc.source_kind = "planning_default"
    disc.save()
    make_range(centrifuge, "life_years", 0.1, 3)

    costs = section(device(client), "What it costs")

    assert 'value="0.3000"' in costs
    assert "planning default" in costs
    assert "Life, years 0.10–3" in costs


def test_a_model_that_is_not_there_is_not_found(client, disc):
    assert client.get("/devices/nothing/").status_code == 404


@pytest.mark.parametrize("parts", [1, 3])
def test_a_model_takes_as_many_queries_however_much_hangs_on_it(
    client, disc, centrifuge, django_assert_num_queries, parts
):
    for number in range(parts):
        make_study(f"study-{number}", device_model=disc)
        make_limit(f"limit-{number}", device_class=centrifuge)
        need = make_method(f"method-{number}", make_test(f"test-{number}"))
        make_need(need, centrifuge, rcf_max_g=("min", 1000))

    with django_assert_num_queries(PAGE_QUERIES):
        page = device(client)

    assert page.count('<a href="/methods/method-') == parts


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_as_many_queries_for_three_models_as_for_one(
    client, centrifuge, django_assert_num_queries, count
):
    for number in range(count):
        make_device_model(f"model-{number}", centrifuge, specs={"rcf_max_g": 100})

    with django_assert_num_queries(LIST_QUERIES):
        page = get(client, "/devices/")

    assert page.count('<a href="/devices/model-') == count


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ({}, ["disc", "scope"]),
        ({"low_cost": "yes"}, ["disc"]),
        ({"low_cost": "no"}, ["scope"]),
        ({"evidence": "D"}, ["disc"]),
        ({"device_class": "microscope"}, ["scope"]),
        ({"text": "PAPER"}, ["disc"]),
        ({"text": "zinc"}, []),
        ({"evidence": "Z"}, ["disc", "scope"]),
    ],
)
def test_the_list_narrows_by_name_class_evidence_and_cost(client, disc, query, shown):
    make_device_model("scope", make_device_class("microscope"))

    page = get(client, "/devices/", **query)

    assert [code for code in ("disc", "scope") if f'href="/devices/{code}/"' in page] == shown
