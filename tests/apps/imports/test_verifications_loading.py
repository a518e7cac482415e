"""Verifications come from a folder as readings; what they say is worked out, once."""

import pytest

from apps.catalogue.models import DeviceClass
from apps.imports.services import LoadError, load_catalogue, load_register
from apps.inventory.models import EquipmentItem, Verification
from tests.apps.imports.folders import CATALOGUE, REGISTER, write_folder
from tests.factories.catalogue import make_limit
from tests.factories.inventory import make_verification

HEAD = (
    "code,item,kind,rule,subject,analyte,done_on,operator,reference,traceability,radius_cm,"
    "set_rpm,setting,readings,note\n"
)
ROW = (
    "n-1-v1,n-1,spin,inspection,centrifuge,,2026-01-20,engineer,Tachometer 7,,9,11000,,"
    '"0 11000\n300 11000",\n'
)


@pytest.fixture
def folder(db, tmp_path):
    load_catalogue(folder=write_folder(tmp_path / "catalogue", CATALOGUE), by=None)
    make_limit(
        "speed", device_class=DeviceClass.objects.get(), rule="inspection",
        measure="speed_error_pct", low=-10,
        high=10, ucum="%",
    )  # fmt: skip
    return tmp_path / "register"


def load(folder, verifications: str):
    return load_register(
        folder=write_folder(folder, REGISTER, verifications=verifications), by=None
    )


def problems(folder, verifications: str) -> list[str]:
    with pytest.raises(LoadError) as refusal:
        load(folder, verifications)
    return [str(problem) for problem in refusal.value.problems]


def test_readings_of_a_folder_are_worked_out_and_kept(folder):
    load(folder, HEAD + ROW)

    made = Verification.objects.get()
    assert (made.code, made.item.code, made.outcome, made.operator) == (
        "n-1-v1", "n-1", "pass", "engineer",
    )  # fmt: skip
    assert made.figures["rcf_g"] == pytest.approx(12_177.7, abs=0.1)


def test_the_same_folder_again_changes_nothing(folder):
    load(folder, HEAD + ROW)

    assert load(folder, HEAD + ROW).nothing_changed
    assert Verification.objects.count() == 1


def test_a_verification_that_is_there_is_never_changed(folder):
    load(folder, HEAD + ROW)

    [said] = problems(folder, HEAD + ROW.replace("300 11000", "300 11500"))

    assert said == (
        "verifications.csv:2: this verification is there already and says otherwise. Withdraw it "
        "on its page, and load this one under another code."
    )


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("v1,n-1,", "v1,n-9,", 'item is "n-9", which is none of the equipment items.'),
        ("inspection", "none", 'rule is "none" for "centrifuge", by which no spinner is verified.'),
        ("spin,", "spun,", 'kind is "spun", expected one of spin, paired'),
        ("2026-01-20", "20.1.2026", 'done_on is "20.1.2026", expected a date written as'),
        ("2026-01-20", "2999-01-20", "The day lies in the future."),
        (",9,11000,", ",nine,11000,", 'radius_cm is "nine", expected a number, or nothing.'),
        (",9,11000,,", ",9,11000,slow,", 'setting is "slow", expected one of greatest, lowest'),
        ("300 11000", "300 fast", "row 2, rpm: expected a number such as 12.5, found 'fast'"),
        ("300 11000", "0 11000", "times and speeds: expected times that rise"),
    ],
)
def test_a_mistake_is_named_with_its_line_and_nothing_is_kept(folder, old, new, said):
    [found] = problems(folder, HEAD + ROW.replace(old, new))

    assert found.startswith(f"verifications.csv:2: {said}")
    assert not EquipmentItem.objects.exists()


def test_a_device_that_the_folder_says_broke_loses_its_verification(folder):
    load(folder, HEAD)
    made = make_verification(EquipmentItem.objects.get())
    broken = REGISTER["equipment.csv"].replace("in_use", "repairable")

    load_register(folder=write_folder(folder, REGISTER, equipment=broken), by=None)
    load(folder, HEAD)

    made.refresh_from_db()
    assert made.ended_by == "condition"
    assert EquipmentItem.objects.get().condition == "in_use"
