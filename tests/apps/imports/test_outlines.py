"""Outlines as RFC 7946 has them: closed rings, longitude before latitude."""

import json

import pytest

from apps.facilities.models import Area
from apps.imports.services import LoadError, load_register
from tests.apps.imports.folders import REGISTER, write_folder

RING = [[30.0, 1.0], [31.0, 1.0], [31.0, 2.0], [30.0, 1.0]]


@pytest.fixture
def folder(db, tmp_path):
    areas = {"areas.csv": REGISTER["areas.csv"]}
    return write_folder(tmp_path / "register", areas)


def feature(code: object = "upper", rings: object = (RING,), kind: str = "Polygon") -> dict:
    geometry = {"type": kind, "coordinates": rings}
    return {"type": "Feature", "properties": {"code": code}, "geometry": geometry}


def write(folder, *features: object) -> None:
    collection = {"type": "FeatureCollection", "features": features}
    (folder / "outlines.geojson").write_text(json.dumps(collection), encoding="utf-8")


def test_an_outline_is_kept_with_its_area_and_stays_when_loaded_again(folder):
    write(folder, feature())

    first, second = (load_register(folder=folder, by=None) for _ in range(2))

    assert Area.objects.get(code="upper").outline == {"type": "Polygon", "coordinates": [RING]}
    assert Area.objects.get(code="north").outline is None
    assert first.changes["outlines.geojson"].counts["changed"] == 1
    assert second.nothing_changed


@pytest.mark.parametrize(
    ("wrong", "problem"),
    [
        (feature(code="nowhere"), "properties.code is 'nowhere', which is none of the areas."),
        ({"type": "Feature"}, 'expected a feature with "properties" and "geometry".'),
        (feature(kind="Point"), "geometry must be a Polygon."),
        (feature(rings=[]), "geometry.coordinates must be a list of rings."),
        (feature(rings=[RING[:3]]),
         "a ring has at least four positions, and the last repeats the first."),
        (feature(rings=[[*RING[:3], [30.5, 1.0]]]),
         "a ring has at least four positions, and the last repeats the first."),
        (feature(rings=[[[1.0, 130.0], *RING[1:3], [1.0, 130.0]]]),
         "[1.0, 130.0] is out of range; expected longitude before latitude."),
        (feature(rings=[[["a", 1], *RING[1:3], ["a", 1]]]),
         "['a', 1] is no position; expected [longitude, latitude]."),
    ],
)  # fmt: skip
def test_a_wrong_outline_is_named_by_its_feature_and_nothing_is_loaded(folder, wrong, problem):
    write(folder, feature(), wrong)

    with pytest.raises(LoadError) as refusal:
        load_register(folder=folder, by=None)

    assert [str(each) for each in refusal.value.problems] == [
        f"outlines.geojson:1: features[1]: {problem}"
    ]
    assert not Area.objects.exists()


def test_an_outline_of_an_area_that_is_wrong_itself_is_no_second_mistake(folder):
    write_folder(folder, {}, areas=REGISTER["areas.csv"].replace("Upper block", ""))
    write(folder, feature())

    with pytest.raises(LoadError) as refusal:
        load_register(folder=folder, by=None)

    assert [each.file for each in refusal.value.problems] == ["areas.csv"]


@pytest.mark.parametrize("content", ["{", "[]", '{"type": "Feature"}'])
def test_what_is_no_collection_of_features_is_refused(folder, content):
    (folder / "outlines.geojson").write_text(content)

    with pytest.raises(LoadError) as refusal:
        load_register(folder=folder, by=None)

    [problem] = refusal.value.problems
    assert problem.text.startswith(("this is not JSON", "expected a GeoJSON FeatureCollection"))
