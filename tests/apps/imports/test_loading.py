"""Folders are loaded whole or not at all, twice as once, and with every mistake named."""

import pytest
from django.core.exceptions import PermissionDenied

from apps.audit.models import Entry
from apps.catalogue.models import Method, Requirement, Specification
from apps.demand.models import Demand
from apps.facilities.models import Area, Facility
from apps.imports.services import LoadError, is_loaded, load_catalogue, load_register
from apps.inventory.models import EquipmentItem
from tests.apps.imports.folders import CATALOGUE, REGISTER, SOURCED, write_folder
from tests.factories.accounts import make_person


@pytest.fixture
def catalogue(db, tmp_path):
    return write_folder(tmp_path / "catalogue", CATALOGUE)


@pytest.fixture
def loaded(catalogue):
    load_catalogue(folder=catalogue, by=None)
    return catalogue


@pytest.fixture
def register(loaded, tmp_path):
    return write_folder(tmp_path / "register", REGISTER)


def counts(loaded) -> dict[str, tuple[int, ...]]:
    return {file: tuple(change.counts.values()) for file, change in loaded.changes.items()}


def problems(load, folder) -> list[str]:
    with pytest.raises(LoadError) as refusal:
        load(folder=folder, by=None)
    return [str(problem) for problem in refusal.value.problems]


def test_a_catalogue_comes_in_as_its_files_say(catalogue):
    load_catalogue(folder=catalogue, by=None)

    method = Method.objects.get()
    [need] = method.needs.all()
    [requirement] = need.requirements.all()
    assert (method.code, method.test.code, str(method.consumable_cost)) == (
        "spun", "haematocrit", "0.2500",
    )  # fmt: skip
    assert [skill.code for skill in method.skills.all()] == ["staining"]
    assert [item.code for item in method.infrastructure.all()] == ["water"]
    assert (str(requirement.attribute), requirement.comparator, requirement.value) == (
        "centrifuge.rcf_g", "min", 10000,
    )  # fmt: skip
    [specification] = Specification.objects.all()
    assert (specification.device_model.code, specification.value) == ("spinner", 12000)
    model = specification.device_model
    assert sorted(each.code for each in model.programmes.all()) == ["malaria", "maternal"]


def test_a_register_comes_in_as_its_files_say(register):
    load_register(folder=register, by=None)

    hill, ford = Facility.objects.get(code="hill"), Facility.objects.get(code="ford")
    assert (hill.area.path, hill.population, hill.power_hours_per_day) == (
        "north/upper/", 12000, 24.0,
    )  # fmt: skip
    assert (ford.population, ford.testing_hours_per_year, ford.observed_on) == (None, None, None)
    assert EquipmentItem.objects.get().condition == "in_use"
    assert Demand.objects.get().tests_per_year == 500.0


@pytest.mark.parametrize("kind", ["catalogue", "register"])
def test_the_same_folder_twice_changes_nothing(request, kind):
    folder = request.getfixturevalue(kind)
    load = {"catalogue": load_catalogue, "register": load_register}[kind]
    first = load(folder=folder, by=None)

    second = load(folder=folder, by=None)

    assert not first.nothing_changed
    assert second.nothing_changed
    assert set(counts(second).values()) == {(0, 0, 0)}


def test_a_changed_cell_changes_its_row_and_says_from_what_to_what(register):
    load_register(folder=register, by=None)
    text = REGISTER["facilities.csv"].replace("12000,1000", "12500,1000")
    write_folder(register, REGISTER, facilities=text)

    loaded = load_register(folder=register, by=make_person(role="planner"))

    assert {file: each for file, each in counts(loaded).items() if any(each)} == {
        "facilities.csv": (0, 1, 0)
    }
    entry = Entry.objects.first()
    assert entry.before == {"facilities.csv": {"hill": {"population": 12000}}}
    assert entry.after["changed"] == {"facilities.csv": {"hill": {"population": 12500}}}


def test_a_row_that_is_named_by_others_is_told_of_by_their_codes(register):
    load_register(folder=register, by=None)
    text = REGISTER["skills_held.csv"].replace("hill,staining,2", "hill,staining,0")
    write_folder(register, REGISTER, skills_held=text)

    loaded = load_register(folder=register, by=None)

    assert loaded.changes["skills_held.csv"].changed == {"hill, staining": {"staff_count": [2, 0]}}


def test_other_skills_of_a_method_are_a_change_of_the_method(loaded):
    text = CATALOGUE["methods.csv"].replace(",staining,water,", ",,water,")
    write_folder(loaded, CATALOGUE, methods=text)

    changed = load_catalogue(folder=loaded, by=None).changes["methods.csv"].changed

    assert changed == {"spun": {"skills": [["staining"], []]}}
    assert not Method.objects.get().skills.exists()


def test_what_a_method_no_longer_asks_for_is_removed(loaded):
    head = CATALOGUE["requirements.csv"].splitlines()[0]
    other = f"{head}\nspun,1,heads,has,[24],{SOURCED}\n"
    write_folder(loaded, CATALOGUE, requirements=other)

    load_catalogue(folder=loaded, by=None)

    assert [str(each.attribute) for each in Requirement.objects.all()] == ["centrifuge.heads"]
    assert Entry.objects.first().after["removed"] == {
        "requirements.csv": ["spun.1, centrifuge.rcf_g"]
    }


def test_rows_that_a_register_does_not_name_stay(register):
    load_register(folder=register, by=None)
    head = REGISTER["equipment.csv"].splitlines()[0]
    write_folder(register, REGISTER, equipment=f"{head}\n")

    load_register(folder=register, by=None)

    assert EquipmentItem.objects.count() == 1


def test_a_file_that_is_absent_leaves_its_table_as_it_is(register):
    load_register(folder=register, by=None)
    write_folder(register, REGISTER, demand=None, routes=None)

    loaded = load_register(folder=register, by=None)

    assert "demand.csv" not in loaded.changes
    assert Demand.objects.count() == 1


def test_each_load_is_recorded_once_with_who_and_how_much(register):
    planner = make_person(role="planner")

    load_register(folder=register, by=planner)

    entry = Entry.objects.get(action="register.loaded")
    assert (entry.by, entry.object_key) == (planner, "register")
    assert entry.after["files"]["facilities.csv"] == {"created": 2, "changed": 0, "removed": 0}


def test_a_folder_counts_as_loaded_until_a_byte_of_it_changes(register):
    assert not is_loaded(register)
    load_register(folder=register, by=None)
    assert is_loaded(register)

    write_folder(register, REGISTER, demand=REGISTER["demand.csv"].replace("500", "501"))

    assert not is_loaded(register)


def test_somebody_who_may_not_change_the_register_loads_nothing(register):
    with pytest.raises(PermissionDenied):
        load_register(folder=register, by=make_person(role="auditor"))

    assert not Facility.objects.exists()


def test_a_folder_without_any_of_the_files_is_named(db, tmp_path):
    [problem] = problems(load_register, tmp_path)

    assert problem.startswith(f"{tmp_path}:1: the folder has none of the files areas.csv, ")


def test_every_mistake_of_a_folder_is_named_at_once_and_nothing_is_loaded(register):
    write_folder(
        register,
        REGISTER,
        facilities=REGISTER["facilities.csv"].replace("hill,Hill,upper,2,1.5", "hill,,uper,9,95"),
        routes=REGISTER["routes.csv"].replace("ford,hill,3", "ford,ford,-3"),
        demand=REGISTER["demand.csv"].replace("hill,haematocrit,500", "ford,haematocrti,many"),
    )

    assert problems(load_register, register) == [
        "facilities.csv:2: name is empty, expected text of at most 120 characters.",
        'facilities.csv:2: area is "uper", which is none of the areas; did you mean upper?',
        'facilities.csv:2: level is "9", expected one of 1, 2, 3, 4.',
        'facilities.csv:2: latitude is "95", expected a number from -90 to 90.',
        'routes.csv:2: hours is "-3", expected a number, 0 or more, or nothing.',
        'demand.csv:2: test is "haematocrti", which is none of the lab tests;'
        " did you mean haematocrit?",
        'demand.csv:2: tests_per_year is "many", expected a number, 0 or more.',
    ]
    assert not Area.objects.exists()
    assert not Entry.objects.filter(action="register.loaded").exists()


def test_rows_that_rest_on_a_wrong_row_are_not_mistakes_themselves(register):
    areas = REGISTER["areas.csv"].replace("north,North,district", "north,,district")
    write_folder(register, REGISTER, areas=areas)

    assert problems(load_register, register) == [
        "areas.csv:2: name is empty, expected text of at most 120 characters."
    ]


@pytest.mark.parametrize(
    ("file", "row", "problem"),
    [
        ("areas", "rim,Rim,block,,USD", "parent is empty, expected the code of the district or"
         " block that it lies in."),
        ("areas", "south,South,district,north,USD", "a district lies in no other area."
         " Leave parent empty, or make it a block."),
        ("areas", "north,North,district,,USD",
         "the same code stands in line 2 already. Keep one of the two."),
        ("routes", "hill,hill,3,0.4",
         "origin and destination are the same facility. Name two, or remove the row."),
        ("routes", "hill,ford,3,-0.4", "cost_per_specimen is -0.4, expected 0 or more."),
        ("routes", "ford,hill,4,0.5", "the same origin and destination stands in line 2 already."
         " Keep one of the two."),
        ("equipment", "n-2,hill,,,in_use,,,,observed,",
         "device_model is empty, expected the code of one of the device models."),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be_is_refused_with_its_reason(register, file, row, problem):
    text = REGISTER[f"{file}.csv"] + row + "\n"
    write_folder(register, REGISTER, **{file: text})

    line = text.count("\n")
    assert problems(load_register, register) == [f"{file}.csv:{line}: {problem}"]


@pytest.mark.parametrize(
    ("file", "row", "problem"),
    [
        ("specifications", f"spinner,centrifuge,rcf,1,{SOURCED}", 'attribute is "rcf", which is'
         " none of the attributes of centrifuge; did you mean rcf_g?"),
        ("specifications", f'spinner,centrifuge,heads,24,{SOURCED}',
         "value is 24, expected a list, such as [540, 880]."),
        ("requirements", f"spun,2,rcf_g,min,1,{SOURCED}",
         'position is "2", which is none of the needs of spun.'),
        ("requirements", f"spun,1,heads,min,1,{SOURCED}",
         "comparator is min, but the attribute is of the kind list. It can be compared by has."),
        ("requirements", f'spun,1,heads,has,[],{SOURCED}',
         "value is [], expected a list of at least one value after has."),
        ("requirements", f'spun,1,rcf_g,between,"[2, 1]",{SOURCED}',
         "value is [2, 1], expected two numbers [low, high] after between, the lower one first."),
    ],
)  # fmt: skip
def test_a_catalogue_row_that_makes_no_sense_is_refused(loaded, file, row, problem):
    text = CATALOGUE[f"{file}.csv"] + row + "\n"
    write_folder(loaded, CATALOGUE, **{file: text})

    line = text.count("\n")
    assert problems(load_catalogue, loaded) == [f"{file}.csv:{line}: {problem}"]


def test_an_area_is_not_moved_to_another_parent(register):
    load_register(folder=register, by=None)
    areas = REGISTER["areas.csv"] + "south,South,district,,USD\n"
    moved = areas.replace("block,north", "block,south").splitlines()
    write_folder(register, REGISTER, areas="\n".join([moved[0], moved[1], moved[3], moved[2]]))

    assert problems(load_register, register) == [
        "areas.csv:4: the area is already there, under another parent. Load it under a new code."
    ]
