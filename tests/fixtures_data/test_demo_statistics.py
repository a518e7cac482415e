"""What the invented district recorded and used up agrees with its demand, but for known slips."""

import runpy
import shutil
from collections import Counter

import pytest

from tests.fixtures_data.tables import FIXTURES, catalogue, demo

FILES = ("service_statistics.csv", "consumption.csv", "morbidity_rates.csv")
MAKER = runpy.run_path(str(FIXTURES / "demo" / "make_statistics.py"), run_name="read")


def asked() -> dict[tuple[str, str], float]:
    return {(row["facility"], row["test"]): float(row["tests_per_year"]) for row in demo("demand")}


@pytest.mark.parametrize("maker", ["make.py", "make_statistics.py"])
@pytest.mark.parametrize("name", FILES)
def test_making_the_file_again_gives_the_same_bytes(name, maker, tmp_path):
    copy = shutil.copytree(FIXTURES / "demo", tmp_path / "demo")
    shutil.copytree(FIXTURES / "catalogue", tmp_path / "catalogue")
    (copy / name).unlink()

    runpy.run_path(str(copy / maker), run_name="__main__")

    assert (copy / name).read_bytes() == (FIXTURES / "demo" / name).read_bytes()


def test_every_row_says_that_it_is_invented():
    origins = Counter(
        row["origin"] for name in FILES[:2] for row in demo(name.removesuffix(".csv"))
    )
    kinds = {row["source_kind"] for row in demo("morbidity_rates")}

    assert set(origins) == kinds == {"demo"}


def test_every_test_of_the_catalogue_has_a_rate():
    assert [row["test"] for row in demo("morbidity_rates")] == [
        row["code"] for row in catalogue("tests")
    ]


def test_rates_multiply_out_to_those_that_demand_was_made_from_within_a_tenth():
    per_1000 = {row["test"]: float(row["per_1000_people_per_year"]) for row in demo("rates")}

    for row in demo("morbidity_rates"):
        product = (
            float(row["episodes_per_person_year"])
            * float(row["care_seeking_share"])
            * float(row["eligible_share"])
            * float(row["tests_per_episode"])
        )
        assert product * 1000 == pytest.approx(per_1000[row["test"]], rel=0.101), row["test"]


def test_only_what_is_asked_for_is_recorded_or_used_up():
    rows = [*demo("service_statistics"), *demo("consumption")]

    assert {(row["facility"], row["test"]) for row in rows} <= set(asked())
    assert {row["year"] for row in rows} == {"2025"}


def test_each_slip_stands_in_one_of_the_files():
    counted = {(row["facility"], row["test"]) for row in demo("service_statistics")}
    used = {(row["facility"], row["test"]) for row in demo("consumption")}

    assert set(MAKER["SLIPS"]) <= counted | used
    assert len(MAKER["SLIPS"]) == 11
