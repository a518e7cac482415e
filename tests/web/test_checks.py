"""The device check as a visitor without an account and without scripts sees it."""

import pytest

from apps.catalogue.models import DeviceClass
from tests.factories.catalogue import make_device_class, make_method, make_need, make_test
from tests.web.spinning import make_spinning, make_spun

pytestmark = pytest.mark.django_db
SPIN_QUERIES = 3
LIGHT_QUERIES = 5


@pytest.fixture
def centrifuge():
    return make_spinning()


def get(client, path: str, **claim: object) -> str:
    page = client.get(path, claim).content.decode()
    return " ".join(page.replace("\N{NARROW NO-BREAK SPACE}", " ").split())


def spin(client, **claim: object) -> str:
    return get(client, "/devices/check/", **claim)


def row(page: str, key: str) -> str:
    return page.partition(f'id="spin-{key}"')[2].partition("</tr>")[0]


def test_a_bare_form_shows_what_methods_need_and_answers_nothing(client, centrifuge):
    page = spin(client)

    assert "What methods need of a centrifuge" in page
    assert "1,000–2,000" in row(page, "D")
    assert "What would settle it" not in page


def test_a_claim_is_answered_with_its_verdict_what_it_implies_and_for_what_it_would_do(
    client, centrifuge
):
    page = spin(
        client, speed_rpm=3000, radius_cm=15, radius_kind="r_max", drive="mains", minutes=10
    )

    # 1509.6 g: 3000 rpm at 15 cm, rotor tables print 1509
    assert "3 000 rpm at 15 cm give 1 510 g." in page
    assert 'class="mark is-runs"' in row(page, "D")
    assert "1,510 g lies within 1,000–2,000 g." in row(page, "D")
    assert 'class="mark is-unknown"' in row(page, "B")
    assert "would do for 1 of the 4 ways of spinning" in page


def test_the_published_claim_of_a_paper_disc_is_caught(client, centrifuge):
    # 125 000 rpm and 30 000 g: common practice, no source; the radius of 1.72 mm is computed
    page = spin(client, speed_rpm=125_000, rcf_g=30_000, drive="hand", rotor="disc")

    assert 'class="mark is-blocked"><i></i>The claim contradicts itself.' in page
    assert "0.1717 cm" in page
    assert "nothing follows for any method" in page


def test_the_published_claim_in_newtons_is_no_force_for_any_method(client, centrifuge):
    # "over 1750 rpm and over 50 N": Sule et al. 2019, Instruments 3:30 (seen in an excerpt)
    page = spin(client, speed_rpm=1750, force_n=50, drive="hand")

    assert "no relative centrifugal force" in page
    assert "No force follows from the claim." in row(page, "B")
    assert 'class="mark is-runs"' not in page.partition("<h2")[2]


@pytest.mark.parametrize(
    ("claim", "words"),
    [
        ({"radius_cm": 160}, "160 cannot be: it must be above 0 and at most 50 cm. Is this in mm?"),
        ({"radius_cm": 0}, "0 cannot be: it must be above 0 and at most 50 cm."),
        ({"speed_rpm": "2,000,000"}, "Is this the RCF, or turns per second?"),
        ({"minutes": -5}, "This cannot be below zero; “-5” is. Write it without a sign."),
        ({"rcf_g": "much"}, "“much” is not a number this form can read."),
        ({"drive": "water"}, "Select a valid choice. water is not one of the available choices."),
        ({"procedure": "nothing"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_is_refused_beside_its_question_and_nothing_is_computed(
    client, centrifuge, claim, words
):
    [field] = claim
    page = spin(client, **{"speed_rpm": 3000, "radius_cm": 15, **claim})

    beside = page.partition(f'id="id_{field}_error">')[2].partition("</p>")[0]
    assert words in beside
    assert 'aria-invalid="true"' in page
    assert "No answer" in page
    assert "What would settle it" not in page


def test_all_refusals_come_at_once(client, centrifuge):
    page = spin(client, speed_rpm=5_000_000, radius_cm=160, minutes="x")

    assert "3 answers cannot be used" in page


def test_a_missing_radius_is_asked_for_and_not_guessed(client, centrifuge):
    page = spin(client, speed_rpm=4000, drive="mains")

    assert "4 000 rpm say nothing of the force without a radius" in page
    assert "Measure the radius" in page


def test_the_chosen_method_is_answered_first_and_marked_in_the_table(client, centrifuge):
    page = spin(
        client,
        speed_rpm=3000,
        radius_cm=15,
        radius_kind="r_max",
        drive="hand",
        minutes=10,
        procedure="creatinine",
    )

    first = page.partition('class="claim-chosen">')[2].partition("</p>")[0]
    assert "would not do" in first
    assert "a hand does not hold the speed" in first
    assert page.count('class="is-chosen"') == 1


def test_the_answer_stands_at_an_address_without_the_blanks(client, centrifuge):
    answer = client.get("/devices/check/?speed_rpm=3000&radius_cm=&rcf_g=+&drive=hand")

    assert (answer.status_code, answer.url) == (302, "/devices/check/?speed_rpm=3000&drive=hand")
    assert (
        f"http://testserver{answer.url}".replace("&", "&amp;")
        in client.get(answer.url).content.decode()
    )


def test_an_address_of_blanks_is_the_bare_form(client, centrifuge):
    assert client.get("/devices/check/?speed_rpm=&rotor=").url == "/devices/check/"


def test_the_drawing_has_a_title_says_where_the_claim_lies_and_repeats_the_table(
    client, centrifuge
):
    page = spin(client, speed_rpm=3000, radius_cm=10, rcf_g=3000)

    drawn = page.partition('<figure class="spin">')[2].partition("</svg>")[0]
    assert "<title" in drawn
    assert "The claimed force lies at 10 cm and 3,000 g." in drawn
    assert "The claimed speed gives 1,006 g at 10 cm." in drawn
    assert drawn.count('class="spin-bar') == 3


@pytest.mark.parametrize("methods", [0, 3])
def test_a_check_takes_as_many_queries_however_many_methods_spin(
    client, centrifuge, django_assert_num_queries, methods
):
    serum = centrifuge.needs.get(method__code="creatinine").steps.get().spin
    for number in range(methods):
        code = f"more-{number}"
        make_spun(centrifuge, code, make_test(code), serum, rcf_max_g=("min", 500 + number))

    with django_assert_num_queries(SPIN_QUERIES):
        page = spin(client, speed_rpm=3000, radius_cm=10)

    assert page.count('id="spin-') >= 4 + methods


def test_sharing_an_answer_does_not_need_an_account_and_shows_the_way_in(client, centrifuge):
    page = spin(client, speed_rpm=3000, radius_cm=10)

    assert '<a href="/sign-in/">Sign in</a>' in page
    assert 'class="questions"' not in page
    assert '<a href="/devices/check/" aria-current="true">Check a device</a>' in page


def test_the_sign_in_leads_to_the_check(client):
    assert 'href="/devices/check/"' in client.get("/sign-in/").content.decode()


@pytest.mark.parametrize("path", ["/devices/check/", "/devices/check/microscope/"])
def test_a_check_changes_nothing_so_it_cannot_be_posted(client, path):
    assert client.post(path, {"speed_rpm": 3000}).status_code == 405


@pytest.fixture
def microscopy():
    microscope = make_device_class(
        "microscope", magnification_total="number", objective_na_100="number"
    )
    method = make_method("film", make_test("malaria"))
    make_need(method, microscope, magnification_total=("min", 1000), objective_na_100=("min", 1.25))


def microscope(client, **claim: object) -> str:
    return get(client, "/devices/check/microscope/", **claim)


def test_a_microscope_is_judged_by_its_aperture_and_not_by_its_magnification(client, microscopy):
    # 0.61 * 0.55 / 1.25 = 0.27 µm (Rayleigh); 1000 * 0.25 = 250 is the greatest useful
    good = microscope(client, magnification=1000, aperture=1.25, objective=100)
    empty = microscope(client, magnification=2000, aperture=0.25)

    assert "Finest detail: 0.27 µm" in good
    assert "2,000× is empty: with this aperture nothing more is seen above 250×." in empty


def test_a_microscope_of_unknown_aperture_shows_nothing_for_certain(client, microscopy):
    page = microscope(client, magnification=1000, feature="malaria-ring")

    chosen = page.partition('class="claim-chosen">')[2].partition("</p>")[0]
    assert "unknown" in chosen
    assert "magnification alone shows nothing" in page


@pytest.mark.parametrize(
    ("claim", "state"),
    [
        ({"aperture": 1.25, "objective": 100}, "is-runs"),
        ({"aperture": 1.24, "objective": 100}, "is-blocked"),
        ({"aperture": 1.25}, "is-unknown"),
    ],
)
def test_a_method_by_microscope_asks_for_the_aperture_of_its_own_objective(
    client, microscopy, claim, state
):
    page = microscope(client, magnification=1000, **claim)

    method = page.partition('<a href="/methods/film/">')[2].partition("</tr>")[0]
    assert f'class="mark {state}"' in method


@pytest.mark.parametrize("methods", [0, 3])
def test_a_check_of_optics_takes_as_many_queries_however_many_methods_there_are(
    client, microscopy, django_assert_num_queries, methods
):
    for number in range(methods):
        method = make_method(f"more-{number}", make_test(f"more-{number}"))
        scope = DeviceClass.objects.get(code="microscope")
        make_need(method, scope, magnification_total=("min", 100))

    with django_assert_num_queries(LIGHT_QUERIES):
        page = microscope(client, magnification=1000)

    assert page.count('<a href="/methods/') == 1 + methods + 1


@pytest.mark.parametrize(
    ("claim", "words"),
    [
        ({"aperture": 40}, "40 cannot be: it must be above 0 and at most 1.6. Is this the"),
        ({"wavelength_nm": 0.55}, "Is this in µm? Multiply by 1000."),
        ({"feature_um": -1}, "This cannot be below zero"),
    ],
)
def test_impossible_optics_are_refused(client, microscopy, claim, words):
    page = microscope(client, magnification=400, **claim)

    assert words in page
    assert "No answer" in page


@pytest.fixture
def photometry():
    photometer = make_device_class(
        "photometer", wavelengths_nm="list", absorbance_max="number", bandwidth_nm="number"
    )
    need = {"wavelengths_nm": ("has", [540]), "absorbance_max": ("min", 1.5)}
    make_need(make_method("cyanide", make_test("haemoglobin")), photometer, **need)


def photometer(client, **claim: object) -> str:
    return get(client, "/devices/check/photometer/", **claim)


@pytest.mark.parametrize(
    ("claim", "state"),
    [
        ({"wavelengths_nm": "505; 540 620", "absorbance_max": 1.5}, "is-runs"),
        ({"wavelengths_nm": "540", "absorbance_max": 1.4}, "is-blocked"),
        ({"wavelengths_nm": "546", "absorbance_max": 2}, "is-blocked"),
        ({"wavelengths_nm": "540"}, "is-unknown"),
        ({"wavelengths_nm": "540", "absorbance_max": 3, "stray_share": 1}, "is-unknown"),
    ],
)
def test_a_photometer_does_by_wavelength_and_by_a_range_that_can_be_true(
    client, photometry, claim, state
):
    page = photometer(client, **claim)

    method = page.partition('<a href="/methods/cyanide/">')[2].partition("</tr>")[0]
    assert f'class="mark {state}"' in method


def test_stray_light_sets_a_ceiling_to_what_is_read(client, photometry):
    # log10(1.01 / 0.01) = 2.004 (textbook formula)
    page = photometer(client, wavelengths_nm=540, absorbance_max=3, stray_share=1)

    assert "nothing reads above 2.00. The claimed 3 is impossible." in page


@pytest.mark.parametrize(("bandwidth", "words"), [(20, "is narrow enough"), (20.1, "is wide")])
def test_a_band_is_narrow_up_to_twenty_nanometres(client, photometry, bandwidth, words):
    assert words in photometer(client, bandwidth_nm=bandwidth)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("green", "Write wavelengths in nanometres, parted by commas: 340, 505, 546."),
        ("0.54", "A wavelength lies above 150"),
    ],
)
def test_wavelengths_that_cannot_be_are_refused(client, photometry, said, words):
    page = photometer(client, wavelengths_nm=said)

    assert words in page
    assert "No answer" in page
