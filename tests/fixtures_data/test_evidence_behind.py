"""Studies against their publications, and the grades that models state against their studies."""

import pytest

from planner.engine.evidence import Evaluation, grade
from tests.fixtures_data.tables import catalogue

# study: n, sensitivity with interval, specificity with interval, as the publication has them.
# Every row was seen in an excerpt but those marked "from memory".
STUDIES = {
    # Marn and Critchley 2016, Lancet Glob Health 4:e251
    "colour-scale-2016": ("", ("0.8", "0.68", "0.88"), ("0.8", "0.59", "0.91")),
    # Trans R Soc Trop Med Hyg 1999;93:405
    "ziehl-neelsen-1999": ("163", ("0.63", "", ""), ("0.82", "", "")),
    "concentrated-1999": ("163", ("0.92", "", ""), ("0.6", "", "")),
    # Boelaert 2014, Cochrane CD009135 (from memory)
    "rk39-2014": ("", ("0.919", "0.848", "0.965"), ("0.924", "0.856", "0.968")),
    # Abba 2011, Cochrane CD008122 (from memory)
    "hrp2-2011": ("", ("0.95", "", ""), ("0.952", "", "")),
    "pldh-2011": ("", ("0.932", "", ""), ("0.985", "", "")),
    # Thailand 1991, low density
    "fluorescent-capillary-thailand": ("", ("0.789", "", ""), ("0.966", "", "")),
    # Amini 2017; Tang 2017
    "hepatitis-b-2017": ("", ("0.9", "0.891", "0.908"), ("0.995", "", "")),
    "hepatitis-c-2017": ("", ("0.98", "", ""), ("1", "", "")),
    # direct 71, concentrated 83 % against culture
    "ziehl-neelsen-n915": ("915", ("0.71", "", ""), ("", "", "")),
    "concentrated-n915": ("915", ("0.83", "", ""), ("", "", "")),
    # Ghana, against nucleic acid amplification
    "fluorescence-ghana": ("", ("0.845", "", ""), ("1", "", "")),
    "ziehl-neelsen-ghana": ("", ("0.548", "", ""), ("1", "", "")),
    # Bjerrum 2019, Cochrane CD011420.pub3 (from memory)
    "lam-symptomatic-2019": ("", ("0.42", "", ""), ("0.91", "", "")),
    "lam-unselected-2019": ("", ("0.35", "", ""), ("0.95", "", "")),
    # Cochrane 2019-2021 (from memory)
    "tb-cartridge-2021": ("", ("0.85", "", ""), ("0.98", "", "")),
}
# Models without approval that state a better grade than their studies give them. The page of
# each shows both; a country that has the studies adds them.


def shares(row: dict[str, str], name: str) -> tuple[str, str, str]:
    return row[name], row[f"{name}_low"], row[f"{name}_high"]


def supported(model: dict[str, str]) -> str:
    studies = [row for row in catalogue("studies") if row["device_model"] == model["code"]]
    return grade(
        model["approval"],
        [
            Evaluation(
                source=row["source"],
                setting=row["setting"] or None,
                intended_users=row["intended_users"] == "true",
                peer_reviewed=row["peer_reviewed"] == "true",
                limits_met=row["limits_met"] == "true",
                smallest_class=int(row["smallest_class"] or 0),
            )
            for row in studies
        ],
    )


@pytest.mark.parametrize("code", STUDIES)
def test_a_study_has_the_figures_of_its_publication(code):
    [row] = [row for row in catalogue("studies") if row["code"] == code]

    assert (row["n"], shares(row, "sensitivity"), shares(row, "specificity")) == STUDIES[code]


def test_a_published_sensitivity_or_specificity_of_a_method_is_that_of_a_study_or_of_a_minimum():
    """The figure of the study with the same source, or the end of the range it reports."""
    reported = {
        (row["method"], row["source"], name, figure)
        for row in catalogue("studies")
        for name in ("sensitivity", "specificity")
        for figure in shares(row, name)
    }
    minimum = {"who-pq-hiv", "who-sars-cov-2-ag"}
    # The same rapid test on serum: its study is told at the test on capillary blood.
    on_serum = {
        "leishmaniasis-rdt-serum": "leishmaniasis-rdt",
        "hepatitis-b-rdt-serum": "hepatitis-b-rdt",
    }

    assert [
        (row["code"], name)
        for row in catalogue("methods")
        for name in ("sensitivity", "specificity")
        if row[f"{name}_kind"] == "published"
        and row[f"{name}_source"] not in minimum
        and (
            on_serum.get(row["code"], row["code"]), row[f"{name}_source"], name, row[name]
        ) not in reported
    ] == []  # fmt: skip


def test_no_model_states_a_better_grade_than_its_approval_and_studies_give():
    better = {
        row["code"]: (row["evidence"], supported(row))
        for row in catalogue("device_models")
        if row["evidence"] < supported(row)
    }

    assert better == {}


def test_a_model_that_states_c_or_d_is_not_called_approved():
    assert {
        row["approval"] for row in catalogue("device_models") if row["evidence"] in ("C", "D")
    } == {"none"}


def test_the_investigational_method_is_that_by_phone_and_it_says_so():
    investigational = [
        row for row in catalogue("methods") if row["clinical_grade"] == "investigational"
    ]

    assert [row["code"] for row in investigational] == ["haematobium-phone"]
    assert investigational[0]["cautions"].startswith("Investigational: ")


@pytest.mark.parametrize("word", ["typhoid-rdt", "typhoid-rdt-serum", "typhoid-slide"])
def test_a_test_that_is_not_recommended_alone_warns(word):
    [method] = [row for row in catalogue("methods") if row["code"] == word]

    assert "Not recommended" in method["cautions"]
    assert method["clinical_grade"] == "screening"
