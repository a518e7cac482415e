"""GeoJSON files on their way into the register, and out of it."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from apps.facilities.models import Area, Facility
from apps.imports.exports import places_geojson
from tests.api.register import make_person, make_register
from tests.apps.imports.uploading import applied, faults, numbers, sent, undone

# A square of the district, its western half the block; counter-clockwise, as in RFC 7946.
DISTRICT = [[30.0, 1.0], [31.0, 1.0], [31.0, 2.0], [30.0, 2.0], [30.0, 1.0]]
BLOCK = [[30.0, 1.0], [30.5, 1.0], [30.5, 2.0], [30.0, 2.0], [30.0, 1.0]]


@pytest.fixture
def register(db):
    register = make_register()
    Area.objects.filter(code="north").update(outline={"type": "Polygon", "coordinates": [DISTRICT]})
    Area.objects.filter(code="upper").update(outline={"type": "Polygon", "coordinates": [BLOCK]})
    place(register.hill, 1.5, 30.2)
    place(register.ford, 1.6, 30.3)
    return register


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


def place(facility, latitude, longitude):
    Facility.objects.filter(pk=facility.pk).update(latitude=latitude, longitude=longitude)


def site(longitude, latitude, **properties):
    geometry = {"type": "Point", "coordinates": [longitude, latitude]}
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def land(code, *rings, **properties):
    geometry = {"type": "Polygon", "coordinates": list(rings)}
    return {"type": "Feature", "geometry": geometry, "properties": {"code": code, **properties}}


def collection(*features, **members):
    document = {"type": "FeatureCollection", "features": features, **members}
    return json.dumps(document).encode()


def upload(register, officer, *features, **members):
    return sent(
        collection(*features, **members), register.north, officer, "sites.geojson", kind="geojson"
    )


def test_what_is_written_and_read_in_again_changes_nothing(register, officer):
    content = places_geojson(officer, register.north).encode()

    found = sent(content, register.north, officer, "north.geojson", kind="geojson")

    assert found.state == "previewed"
    assert numbers(found) == {"areas.csv": (0, 0, 0, 0, 2), "facilities.csv": (0, 0, 0, 0, 2)}


@given(
    latitude=st.integers(-90 * 10**7, 90 * 10**7).map(lambda value: value / 10**7),
    longitude=st.integers(-180 * 10**7, 180 * 10**7).map(lambda value: value / 10**7),
    name=st.text(min_size=1, max_size=20).map(str.strip).filter(bool),
)
@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_place_of_seven_decimals_comes_back_as_it_was(
    register, officer, latitude, longitude, name
):
    Area.objects.update(outline=None)
    Facility.objects.filter(code="ford").update(latitude=latitude, longitude=longitude)
    Facility.objects.filter(code="hill").update(
        latitude=latitude, longitude=longitude, name=name.replace("\x00", "-")
    )
    content = places_geojson(officer, register.north).encode()

    found = sent(content, register.north, officer, "north.geojson", kind="geojson")

    assert numbers(found)["facilities.csv"] == (0, 0, 0, 0, 2)


def test_positions_are_longitude_before_latitude_and_codes_are_ids(register, officer):
    document = json.loads(places_geojson(officer, register.north))

    hill = next(each for each in document["features"] if each["id"] == "hill")
    assert set(document) == {"type", "features"}
    assert hill["geometry"] == {"type": "Point", "coordinates": [30.2, 1.5]}


def test_sites_of_another_district_are_not_written(register, officer):
    document = json.loads(places_geojson(officer, register.north))

    assert [each["id"] for each in document["features"]] == ["north", "upper", "ford", "hill"]


def test_a_site_is_moved_by_code_and_place_alone_and_moved_back(register, officer):
    found = applied(upload(register, officer, site(30.4, 1.7, code="hill")), officer)

    moved = Facility.objects.get(code="hill")
    assert (moved.latitude, moved.longitude, moved.name) == (1.7, 30.4, register.hill.name)
    undone(found, officer)
    moved.refresh_from_db()
    assert (moved.latitude, moved.longitude) == (1.5, 30.2)


def test_a_new_site_must_say_all_that_a_site_cannot_be_without(register, officer):
    found = upload(register, officer, site(30.4, 1.7, code="spring", name="Spring"))

    assert faults(found, "facilities.csv") == [
        (1, "", "", "it is not in the register, and the file lacks what a new one must say: Area,"
         " Level", "Add these columns, or correct the code if it is there already.")
    ]  # fmt: skip


def test_a_whole_new_site_is_added(register, officer):
    feature = site(30.4, 1.7, code="spring", name="Spring", area="upper", level=1)

    applied(upload(register, officer, feature), officer)

    spring = Facility.objects.get(code="spring")
    assert (spring.name, spring.area, spring.level, spring.population) == (
        "Spring", register.upper, 1, None,
    )  # fmt: skip


def test_the_code_may_stand_as_the_id_of_the_feature(register, officer):
    found = upload(register, officer, {**site(30.4, 1.7), "id": "hill"})

    assert numbers(found) == {"facilities.csv": (0, 1, 0, 0, 0)}


def test_exchanged_degrees_are_noticed_by_the_outline_of_the_district(register, officer):
    found = upload(register, officer, site(1.7, 30.4, code="hill"))

    assert faults(found, "facilities.csv") == [
        (1, "geometry", "(lat 30.4, lon 1.7)",
         "latitude and longitude seem exchanged: (lat 30.4, lon 1.7) lies outside North,"
         " (lat 1.7, lon 30.4) inside",
         "Exchange the two numbers in the file, then upload it again.")
    ]  # fmt: skip


def test_without_an_outline_exchanged_degrees_are_noticed_by_the_other_sites(register, officer):
    Area.objects.update(outline=None)
    for number in range(3):
        Facility.objects.create(
            code=f"near-{number}", name="Near", area=register.upper, level=1,
            latitude=1.5, longitude=30.2 + number / 10,
        )  # fmt: skip

    found = upload(register, officer, site(1.7, 30.4, code="hill"))

    [(_, _, _, reason, _)] = faults(found, "facilities.csv")
    assert reason == (
        "latitude and longitude seem exchanged: (lat 30.4, lon 1.7) lies far from the other sites,"
        " (lat 1.7, lon 30.4) near them"
    )


def test_a_site_outside_its_district_or_block_is_taken_over_and_told_of(register, officer):
    found = upload(register, officer, site(32.0, 1.5, code="hill"), site(30.7, 1.5, code="ford"))

    assert numbers(found) == {"facilities.csv": (0, 2, 0, 0, 0)}
    assert found.notes == [
        f"Outside the outline of North: {register.hill.name} (hill).",
        f"{register.ford.name} (ford) is said to be in Upper block and lies outside its outline.",
    ]


def test_two_sites_at_one_place_are_told_of(register, officer):
    found = upload(
        register, officer, site(30.3, 1.60001, code="hill"), site(30.3, 1.6, code="ford")
    )

    assert found.notes == [
        f"{register.hill.name} (hill) and {register.ford.name} (ford) are at one place,"
        " (lat 1.6, lon 30.3)."
    ]


def test_a_site_at_the_place_of_one_that_may_be_somebody_elses_is_told_of_without_its_name(
    register, officer
):
    place(register.coast, 1.7, 30.4)

    found = upload(register, officer, site(30.4, 1.7, code="hill"))

    assert found.notes == [
        f"{register.hill.name} (hill) and another site of the register are at one place,"
        " (lat 1.7, lon 30.4)."
    ]


def test_sites_some_twenty_metres_apart_are_at_two_places(register, officer):
    assert upload(register, officer, site(30.3002, 1.6, code="hill")).notes == []


def test_an_outline_is_drawn_anew_turned_where_it_goes_the_wrong_way(register, officer):
    found = applied(upload(register, officer, land("upper", DISTRICT[::-1])), officer)

    assert found.notes == ["upper: rings that went the wrong way round were turned."]
    kept = Area.objects.get(code="upper").outline
    assert kept == {"type": "Polygon", "coordinates": [DISTRICT]}
    undone(found, officer)
    assert Area.objects.get(code="upper").outline["coordinates"] == [BLOCK]


def test_a_land_of_several_parts_is_kept(register, officer):
    far = [[30.8, 1.8], [30.9, 1.8], [30.9, 1.9], [30.8, 1.8]]
    geometry = {"type": "MultiPolygon", "coordinates": [[BLOCK], [far]]}

    applied(upload(register, officer, {**land("upper"), "geometry": geometry}), officer)

    assert Area.objects.get(code="upper").outline == geometry


def test_a_new_area_comes_with_its_outline_and_its_sites(register, officer):
    lower = land("lower", [[30.5, 1.0], [31.0, 1.0], [31.0, 2.0], [30.5, 1.0]], name="Lower",
                 kind="block", parent="north", currency="USD")  # fmt: skip
    spring = site(30.9, 1.2, code="spring", name="Spring", area="lower", level=1)

    found = applied(upload(register, officer, spring, lower), officer)

    assert found.notes == []
    assert Facility.objects.get(code="spring").area.path == "north/lower/"
    assert Area.objects.get(code="lower").outline["type"] == "Polygon"


def test_an_outline_with_exchanged_degrees_is_noticed_by_the_area_that_it_is_a_part_of(
    register, officer
):
    found = upload(register, officer, land("upper", [[y, x] for x, y in BLOCK]))

    assert faults(found, "areas.csv") == [
        (1, "geometry", "upper", "longitude and latitude seem exchanged: the outline lies outside"
         " the area that it is a part of, and inside otherwise",
         "Exchange the two numbers in the file, then upload it again.")
    ]  # fmt: skip


def test_an_outline_that_cannot_be_used_is_refused_by_its_row(register, officer):
    found = upload(register, officer, land("upper", BLOCK[:3]), land("north", DISTRICT))

    assert numbers(found) == {"areas.csv": (0, 0, 0, 1, 1)}
    assert faults(found, "areas.csv") == [
        (1, "geometry", "", "has a ring of 3 positions that does not close",
         "A ring has at least four positions, and the last repeats the first.")
    ]  # fmt: skip


def test_an_area_of_somebody_else_is_refused(register, officer):
    found = upload(register, officer, land("south", DISTRICT))

    assert numbers(found)["areas.csv"] == (0, 0, 0, 1, 0)


def test_a_site_without_a_point_is_refused_by_its_row(register, officer):
    found = upload(register, officer, {**site(0, 0, code="hill"), "geometry": None})

    assert faults(found, "facilities.csv") == [
        (1, "geometry", "", "is empty, expected a Point", "Give one position for each site.")
    ]


def test_what_is_not_taken_over_is_told_of(register, officer):
    found = upload(
        register, officer,
        site(30.2, 1.5, code="hill", beds=12, population=900), site(30.3, 1.6, code="ford"),
    )  # fmt: skip

    assert numbers(found) == {"facilities.csv": (0, 0, 0, 0, 2)}
    assert found.notes[:2] == [
        "Properties of sites that are not known here: beds.",
        "Not all sites have population, so that is left as it is in the register.",
    ]


def test_the_old_member_crs_is_passed_over_where_it_means_the_same(register, officer):
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}

    found = upload(register, officer, site(30.2, 1.5, code="hill"), crs=crs)

    assert found.notes[0] == "The member crs, which the standard has no more, was passed over."


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (b"{", "sites.geojson is not JSON (Expecting property name enclosed in double quotes:"),
        (b"[]", "sites.geojson holds no JSON object."),
        (b'{"a": 1, "a": 2}', "sites.geojson is not JSON (the key 'a' stands twice in one object)"),
        (b'{"a": NaN}', "sites.geojson is not JSON (NaN is not a number in JSON)."),
        (b'{"a": 1e999}', "sites.geojson is not JSON (1e999 is too large a number)."),
        (b"\xff\xfe{}", "sites.geojson is not in UTF-8."),
        (b"[" * 100_000, "sites.geojson is nested too deeply to be read."),
        (b'{"type": "Topology"}', "sites.geojson is no collection of features."),
        (collection(), "sites.geojson has no features."),
        (collection({"type": "Point"}), "sites.geojson: feature 1 is none."),
        (collection(site(0, 0), crs={"properties": {"name": "EPSG:32636"}}),
         "sites.geojson is in other coordinates than longitude and latitude"),
    ],
)  # fmt: skip
def test_what_is_no_such_file_is_refused_whole(register, officer, content, problem):
    found = sent(content, register.north, officer, "sites.geojson", kind="geojson")

    assert found.state == "refused"
    assert found.message.startswith(problem)
