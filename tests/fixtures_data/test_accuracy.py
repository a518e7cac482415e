"""Sensitivities that are called published, and limits of transport, against their sources.

The values are those of the named publication, from memory where the source's note says so.
"""

import pytest

from tests.fixtures_data.tables import catalogue

PUBLISHED = {
    # Marn and Critchley 2016, Lancet Glob Health 4:e251: colour scale, anaemia, 80 (68-88) %
    "haemoglobin-colour-scale": ("marn-critchley-2016", 0.80),
    # Blood Reviews 2024: at least 92 % for SS
    "sickle-cell-rdt": ("blood-rev-2024", 0.92),
    # Abba 2011, Cochrane CD008122
    "malaria-rdt-hrp2": ("abba-2011", 0.95),
    "malaria-rdt-pldh": ("abba-2011", 0.932),
    # Baerenbold 2017, PLoS NTD: S. mansoni at 100 eggs per gram, one and two samples
    "kato-katz-one": ("barenbold-2017", 0.50),
    "kato-katz-two": ("barenbold-2017", 0.80),
    # AJTMH 2015;92: phone microscopes 55.9-67.6 %; the lower end is taken
    "haematobium-phone": ("ajtmh-2015-phone", 0.559),
    # Boelaert 2014, Cochrane CD009135: rK39
    "leishmaniasis-rdt": ("boelaert-2014", 0.919),
    "leishmaniasis-rdt-serum": ("boelaert-2014", 0.919),
    # Trans R Soc Trop Med Hyg 1999;93:405: direct 63 %, after 4000 g 92 %, against culture
    "afb-ziehl-neelsen": ("sputum-4000g-1999", 0.63),
    "afb-concentrated": ("sputum-4000g-1999", 0.92),
    # Cochrane 2019-2021: cartridge tests for pulmonary tuberculosis
    "tb-naat-cartridge": ("cochrane-tb-naat-2021", 0.85),
    # Bjerrum 2019, Cochrane CD011420.pub3: with symptoms
    "urine-lam-strip": ("bjerrum-2019", 0.42),
    # WHO prequalification: least sensitivity of HIV rapid tests
    "hiv-rdt": ("who-pq-hiv", 0.99),
    # Jafari 2013: whole blood 74-86 % by product; the lower end is taken
    "syphilis-rdt": ("jafari-2013", 0.74),
    # Amini 2017; Tang 2017
    "hepatitis-b-rdt": ("amini-2017", 0.90),
    "hepatitis-b-rdt-serum": ("amini-2017", 0.90),
    "hepatitis-c-rdt": ("tang-2017", 0.98),
    # WHO: least sensitivity of SARS-CoV-2 antigen tests
    "respiratory-antigen-rdt": ("who-sars-cov-2-ag", 0.80),
}
# Hours that a specimen keeps: WHO/DIL/LAB/99.1 Rev.2 (from memory) and, for 10 h of whole
# blood at 21 degrees, Henriksen 2014. Empty: it does not travel.
TRANSPORT_H = {
    "full-blood-count": "24",  # EDTA blood, room temperature
    "white-cells": "8",  # cells drift and films spoil after 8 h
    "prothrombin-inr": "24",  # citrate, capped
    "electrolytes": "",  # potassium must not travel unseparated
    "creatinine": "10",
    "urea": "10",
    "alkaline-phosphatase": "10",
    "protein-albumin": "10",
    "urine-microscopy": "2",
    "stool-parasites": "1",  # trophozoites 30-60 min
    "tb-naat": "72",  # sputum, 3 days
    "hiv-viral-load": "336",  # dried blood spots, 14 days
    "cd4": "48",
    "csf": "",
    "hepatitis-b": "168",  # serum, 7 days cold
    "hiv": "168",
    "syphilis": "168",
    "urine-culture": "24",  # boric acid, 24-48 h
}


def test_the_published_sensitivities_are_those_of_their_sources_and_there_are_no_others():
    assert {
        row["code"]: (row["sensitivity_source"], float(row["sensitivity"]))
        for row in catalogue("methods")
        if row["sensitivity_kind"] == "published"
    } == PUBLISHED


@pytest.mark.parametrize("test", TRANSPORT_H)
def test_a_specimen_travels_no_longer_than_it_keeps(test):
    [row] = [row for row in catalogue("tests") if row["code"] == test]

    assert row["max_transport_hours"] == TRANSPORT_H[test]


def test_concentration_finds_more_than_a_direct_smear_and_two_samples_more_than_one():
    """Trans R Soc Trop Med Hyg 1999;93:405 and Baerenbold 2017."""
    found = {row["code"]: float(row["sensitivity"]) for row in catalogue("methods")}

    assert found["afb-concentrated"] > found["afb-led-fluorescence"] > found["afb-ziehl-neelsen"]
    assert found["kato-katz-two"] > found["kato-katz-one"]


def test_the_hand_spun_haematocrit_is_not_held_to_be_as_good_as_the_electric_one():
    """PCV read 1.14 times too high before correction (AJTMH 2011, 10.4269/ajtmh.2011.10-0399)."""
    found = {row["code"]: float(row["sensitivity"]) for row in catalogue("methods")}

    assert found["haematocrit-hand-spun"] < found["haematocrit-spun"]
