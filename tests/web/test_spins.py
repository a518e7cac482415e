"""How a claim stands to the ways of spinning: boundaries of force, time and drive."""

import pytest

from apps.catalogue.selectors import spin_procedures
from apps.web.spin_points import span
from apps.web.spins import judged, method_choices, spins
from planner.engine.matching import Verdict
from planner.engine.physics.claims import Claim, claim_check
from tests.web.spinning import make_spinning

pytestmark = pytest.mark.django_db
SERUM = Claim(rcf_g=1500, radius_cm=15, radius_kind="r_max", drive="mains", minutes=10)


@pytest.fixture
def known():
    make_spinning()
    return spins(spin_procedures())


def verdicts(known, **claimed):
    claim = Claim(**{**vars(SERUM), **claimed})
    found = judged(known, claim, claim_check(claim))
    return {f"{spin.procedure.code}{' by motor' * spin.by_motor}": spin.verdict for spin in found}


def reasons(known, code, **claimed):
    claim = Claim(**{**vars(SERUM), **claimed})
    found = judged(known, claim, claim_check(claim))
    return next(spin.why for spin in found if spin.procedure.code == code)


def test_ways_of_spinning_come_weakest_first_one_for_each_set_of_demands(known):
    assert [(spin.key, spin.procedure.code, spin.band, spin.by_motor) for spin in known] == [
        ("A", "hand", "", False),
        ("B", "urine", "360–480", False),
        ("C", "urine", "360–480", True),
        ("D", "serum", "1,000–2,000", True),
    ]


def test_what_a_claim_does_not_speak_of_is_listed_beside(known):
    assert [(ask.attribute.name, ask.words) for ask in known[-1].also] == [
        ("Volumes of tube", "5\N{NARROW NO-BREAK SPACE}mL")
    ]


def test_a_band_that_was_widened_says_so_beside_what_its_source_states(known):
    row = known[1].methods[0].needs.get().requirements.get(attribute__code="rcf_max_g")
    row.source_kind = "planning_default"
    row.save()

    urine = spins(spin_procedures())[1]

    assert [(ask.attribute.code, ask.kind) for ask in urine.sources] == [
        ("rcf_max_g", "planning_default"),
        ("rcf_settable_min_g", "demo"),
    ]
    assert urine.stated == "400 g at r_max, the tube tip, 10 min"


def test_a_source_that_states_no_force_says_so(known):
    assert known[0].stated == "10 min, the force is not stated"
    assert known[0].sources == ()


@pytest.mark.parametrize(
    ("force_g", "verdict"),
    [
        (999, Verdict.NOT_MET),
        (1000, Verdict.MET),
        (2000, Verdict.MET),
        (2001, Verdict.UNKNOWN),
    ],
)
def test_the_band_of_force_holds_both_its_ends_and_more_is_only_too_fast(known, force_g, verdict):
    assert verdicts(known, rcf_g=force_g)["serum by motor"] is verdict


@pytest.mark.parametrize(
    ("minutes", "verdict"), [(9.9, Verdict.NOT_MET), (10, Verdict.MET), (None, Verdict.UNKNOWN)]
)
def test_time_is_long_enough_too_short_or_not_said(known, minutes, verdict):
    assert verdicts(known, minutes=minutes)["serum by motor"] is verdict


@pytest.mark.parametrize(
    ("drive", "by_motor"),
    [("hand", Verdict.NOT_MET), ("battery", Verdict.MET), (None, Verdict.UNKNOWN)],
)
def test_a_hand_will_not_do_where_a_motor_is_asked_and_will_where_it_is_not(known, drive, by_motor):
    found = verdicts(known, rcf_g=400, drive=drive)

    assert found["urine by motor"] is by_motor
    assert found["urine"] is Verdict.MET


def test_force_above_the_band_asks_whether_it_runs_slower_and_says_at_what_speed(known):
    # n = sqrt(480 / (1.118244e-5 * 15)) = 1691.6 rpm, by hand
    assert reasons(known, "urine", drive="mains") == [
        "1,500 g is more than 360–480 g: can it run slower? At this radius at most 1,690 rpm."
    ]


@pytest.mark.parametrize("kind", ["r_av", "r_min", None])
def test_a_force_at_another_radius_or_at_one_unsaid_is_never_compared(known, kind):
    assert verdicts(known, radius_kind=kind)["serum by motor"] is Verdict.UNKNOWN


@pytest.mark.parametrize("claimed", [{"speed_rpm": 6000}, {"rcf_g": 900_000, "radius_cm": 10}])
def test_a_claim_that_cannot_stand_would_do_for_nothing(known, claimed):
    assert set(verdicts(known, drive="hand", **claimed).values()) == {Verdict.UNKNOWN}


def test_without_a_force_nothing_is_known(known):
    found = verdicts(known, rcf_g=None, radius_cm=None, speed_rpm=4000)

    assert set(found.values()) == {Verdict.UNKNOWN}


def test_a_procedure_whose_source_states_no_force_is_unknown_for_every_claim(known):
    assert reasons(known, "hand")[0] == "The catalogue's source states no force for it."


def test_methods_stand_under_their_tests_in_the_choice(known):
    assert method_choices(known) == [
        ("Creatinine", [("creatinine", "Creatinine")]),
        ("Urine-Microscopy", [("urine-hand", "Urine-Hand"), ("urine-motor", "Urine-Motor")]),
    ]


def test_the_chosen_method_marks_its_way_of_spinning(known):
    found = judged(known, SERUM, claim_check(SERUM), method="urine-hand")

    assert [spin.key for spin in found if spin.chosen] == ["B"]


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (None, None, ""),
        (1000, 2000, "1,000–2,000"),
        (400, 400, "400"),
        (None, 480, "up to 480"),
        (360, None, "from 360"),
        (0.25, 0.5, "0.25–0.50"),
    ],
)
def test_a_band_is_written_with_the_ends_it_has(low, high, words):
    assert span(low, high) == words
