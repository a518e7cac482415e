"""The shipped district, loaded and estimated: only the mistakes put into it are flagged."""

import runpy

import pytest
from django.core.management import call_command

from apps.demand.selectors import Assumptions, estimates_in
from apps.facilities.models import Area
from planner.settings import ROOT
from tests.factories.accounts import make_person

DEMO = ROOT / "fixtures" / "demo"


@pytest.fixture
def estimates(db):
    call_command("load_catalogue", ROOT / "fixtures" / "catalogue", verbosity=0)
    call_command("load_register", DEMO, verbosity=0)
    district = Area.objects.get(kind="district")
    everybody = make_person("everybody", role="administrator", is_superuser=True)
    return estimates_in(everybody, district, assumptions=Assumptions(year=2026))


def test_the_flags_are_the_slips_that_were_put_in_and_no_others(estimates):
    slips = runpy.run_path(str(DEMO / "make_statistics.py"), run_name="read")["SLIPS"]

    flagged = {(each.facility.code, each.test.code) for each in estimates if each.is_flagged}

    assert flagged == set(slips)


def test_all_other_estimates_agree_within_the_noise(estimates):
    apart = [each.spread for each in estimates if each.spread and not each.is_flagged]

    assert len(apart) > 1500
    assert max(apart) < 1.6


def test_morbidity_finds_the_adopted_demand_again_at_the_place_where_people_go(estimates):
    """Within a tenth of noise, and half a test of rounding."""
    compared = 0
    for each in estimates:
        by_rate = next(f.tests_per_year for f in each.figures if f.basis == "morbidity")
        if each.adopted is not None:
            compared += 1
            assert abs(by_rate - each.adopted.tests_per_year) <= (
                0.101 * each.adopted.tests_per_year + 0.6
            ), (each.facility, each.test)

    assert compared == 3526


def test_every_way_is_gone_by_somewhere_and_weak_figures_only_where_there_is_nothing_else(
    estimates,
):
    chosen = [each.chosen.basis for each in estimates if each.chosen]

    assert set(chosen) == {"service_statistics", "consumption", "morbidity"}
    assert not any(each.is_weak for each in estimates)
