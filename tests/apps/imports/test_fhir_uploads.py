"""FHIR bundles on their way into the register, and out of it."""

import base64
import json

import pytest

from apps.demand.models import ServiceStatistic
from apps.facilities.models import Area, Facility
from apps.imports.exports import register_bundle
from apps.imports.models import SiteIdentifier
from apps.inventory.models import EquipmentItem, InfrastructureHeld
from tests.api.register import make_person, make_register
from tests.apps.imports.uploading import applied, faults, numbers, sent, undone

OWN = "https://benchward.example/fhir"
MCSD = "https://profiles.ihe.net/ITI/mCSD/CodeSystem/IHE.mCSD.Organization.Location.Types"
NATIONAL = "https://health.example/facility-registry"
BLOCK = [[30.0, 1.0], [30.5, 1.0], [30.5, 2.0], [30.0, 2.0], [30.0, 1.0]]


@pytest.fixture
def register(db):
    register = make_register()
    Area.objects.filter(code="upper").update(outline={"type": "Polygon", "coordinates": [BLOCK]})
    Facility.objects.filter(code="hill").update(
        latitude=1.5, longitude=30.2, name="Hill", power_hours_per_day=7.5
    )
    Facility.objects.filter(code="ford").update(latitude=1.6, longitude=30.3, name="Ford")
    return register


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


def typed(code, system=MCSD):
    return [{"coding": [{"system": system, "code": code}]}]


def named(value, system=NATIONAL):
    return [{"system": system, "value": value}]


def site(value="hill", system=f"{OWN}/NamingSystem/site-code", **elements):
    return {
        "resourceType": "Location", "identifier": named(value, system), "status": "active",
        "type": typed("facility"), **elements,
    }  # fmt: skip


def device(value="hill-001", **elements):
    return {
        "resourceType": "Device",
        "identifier": named(value, f"{OWN}/NamingSystem/inventory-number"),
        "type": {"text": "cuvette-photometer"}, **elements,
    }  # fmt: skip


def bundle(*resources, kind="collection", **members):
    entries = [{"resource": each} if "resourceType" in each else each for each in resources]
    return {"resourceType": "Bundle", "type": kind, "entry": entries, **members}


def upload(register, officer, *resources, document=None):
    content = json.dumps(document or bundle(*resources)).encode()
    return sent(content, register.north, officer, "bundle.json", kind="fhir")


@pytest.mark.parametrize("kind", ["collection", "transaction"])
def test_what_is_written_and_read_in_again_changes_nothing(register, officer, kind):
    SiteIdentifier.objects.create(facility=register.hill, system=NATIONAL, value="0042")
    InfrastructureHeld.objects.filter(facility=register.hill).update(presence="absent")
    document = json.loads(register_bundle(officer, register.north, kind))

    found = upload(register, officer, document=document)

    assert found.state == "previewed"
    assert {file: row[:4] for file, row in numbers(found).items()} == {
        "areas.csv": (0, 0, 0, 0),
        "facilities.csv": (0, 0, 0, 0),
        "equipment.csv": (0, 0, 0, 0),
        "infrastructure_held.csv": (0, 0, 0, 0),
        "site_identifiers.csv": (0, 0, 0, 0),
    }
    assert {file: row[4] for file, row in numbers(found).items()} == {
        "areas.csv": 2,
        "facilities.csv": 2,
        "equipment.csv": 1,
        "infrastructure_held.csv": 1,
        "site_identifiers.csv": 1,
    }


def test_what_is_written_makes_an_empty_register_the_same(register, officer):
    document = json.loads(register_bundle(officer, register.north))
    before = list(Facility.objects.order_by("code").values())
    EquipmentItem.objects.filter(facility__area=register.upper).delete()
    for held in (register.hill.skillhelds, register.hill.infrastructurehelds):
        held.all().delete()
    Facility.objects.filter(area=register.upper).delete()

    applied(upload(register, officer, document=document), officer)

    after = list(Facility.objects.order_by("code").values())
    assert [{**row, "id": 0} for row in after] == [{**row, "id": 0} for row in before]
    assert EquipmentItem.objects.get(code="hill-001").condition == "in_use"


def test_another_district_is_not_written(register, officer):
    text = register_bundle(officer, register.north)

    assert "coast" not in text
    assert "coast" in register_bundle(make_person("planner", register.south), register.south)


def test_condition_and_reason_have_extensions_and_status_says_less(register, officer):
    EquipmentItem.objects.filter(code="hill-001").update(condition="repairable", reason="fault")

    document = json.loads(register_bundle(officer, register.north))

    [item] = [each["resource"] for each in document["entry"]
              if each["resource"]["resourceType"] == "Device"]  # fmt: skip
    said = {each["url"]: each for each in item["extension"]}
    assert item["status"] == "inactive"
    assert said[f"{OWN}/StructureDefinition/equipment-condition"]["valueCode"] == "repairable"
    assert said[f"{OWN}/StructureDefinition/equipment-reason"]["valueCode"] == "fault"


def test_tests_that_a_site_recorded_are_what_its_service_is_of(register, officer):
    test = register.hill.demands.model._meta.get_field("test").related_model.objects.first()
    ServiceStatistic.objects.create(
        facility=register.hill, test=test, year=2025, recorded_tests=9, completeness_share=1,
        days_without=0, origin="reported",
    )  # fmt: skip

    document = json.loads(register_bundle(officer, register.north))

    [service] = [each["resource"] for each in document["entry"]
                 if each["resource"]["resourceType"] == "HealthcareService"]  # fmt: skip
    assert service["type"][0]["text"] == test.name


def test_a_national_identifier_is_kept_and_the_site_is_known_by_it_from_then_on(register, officer):
    area = {"identifier": {"system": f"{OWN}/NamingSystem/area-code", "value": "upper"}}
    spring = site("HF/0042", NATIONAL, name="Spring", partOf=area,
                  position={"longitude": 30.4, "latitude": 1.7})  # fmt: skip
    spring["type"] += typed("1", f"{OWN}/CodeSystem/level-of-care")

    found = applied(upload(register, officer, spring), officer)

    made = Facility.objects.get(name="Spring")
    assert (made.code, made.area, made.level) == ("hf-0042", register.upper, 1)
    assert found.notes == ["HF/0042 is written hf-0042 here: codes have small letters and hyphens."]
    kept = SiteIdentifier.objects.get(facility=made)
    assert (kept.system, kept.value) == (NATIONAL, "HF/0042")
    Facility.objects.filter(pk=made.pk).update(name="Renamed")
    again = upload(register, officer, {**spring, "name": "Spring"})
    assert numbers(again)["facilities.csv"] == (0, 1, 0, 0, 0)
    text = register_bundle(officer, register.north)
    assert '"system": "https://health.example/facility-registry", "value": "HF/0042"' in text


def test_a_site_may_be_a_part_of_its_area_by_its_organization(register, officer):
    entries = [
        {"fullUrl": "urn:uuid:1", "resource": {
            "resourceType": "Organization", "name": "Upper", "type": typed("jurisdiction"),
            "identifier": named("upper", f"{OWN}/NamingSystem/area-code")}},
        {"fullUrl": "urn:uuid:2", "resource": {
            "resourceType": "Organization", "name": "Spring", "type": typed("facility"),
            "identifier": named("spring"), "partOf": {"reference": "urn:uuid:1"}}},
        {"fullUrl": "https://server.example/Location/3", "resource": {
            "resourceType": "Location", "name": "Spring",
            "identifier": named("spring"),
            "type": typed("facility") + typed("2", f"{OWN}/CodeSystem/level-of-care"),
            "position": {"longitude": 30.4, "latitude": 1.7},
            "managingOrganization": {"reference": "urn:uuid:2"}}},
    ]  # fmt: skip

    found = applied(upload(register, officer, *entries), officer)

    assert Facility.objects.get(code="spring").area == register.upper
    assert found.notes == ["The Organization Upper has no Location, so it is no site here."]


def test_what_a_bundle_does_not_say_of_a_site_stays_as_it_is(register, officer):
    found = applied(upload(register, officer, site(name="Hilltop")), officer)

    hill = Facility.objects.get(code="hill")
    assert (hill.name, hill.latitude, hill.level, hill.population) == (
        "Hilltop", 1.5, register.hill.level, 12_000,
    )  # fmt: skip
    undone(found, officer)
    assert Facility.objects.get(code="hill").name == "Hill"


def test_the_status_of_a_device_is_no_condition(register, officer):
    there = {"identifier": named("hill", f"{OWN}/NamingSystem/site-code")[0]}

    found = upload(
        register, officer,
        device(status="inactive", location=there), device("hill-002", status="active",
                                                          location=there),
    )  # fmt: skip

    assert numbers(found) == {"equipment.csv": (1, 0, 0, 0, 1)}
    assert found.notes == [
        "The status of a device says whether it is available, not in what condition it is: where"
        " no more is said, that is not changed."
    ]
    applied(found, officer)
    assert EquipmentItem.objects.get(code="hill-002").condition == "unknown"


def test_exchanged_degrees_are_noticed(register, officer):
    square = [[29.0, 0.0], [31.0, 0.0], [31.0, 3.0], [29.0, 3.0], [29.0, 0.0]]
    Area.objects.filter(code="north").update(outline={"type": "Polygon", "coordinates": [square]})

    found = upload(register, officer, site(position={"longitude": 1.5, "latitude": 30.2}))

    [(line, column, value, _, _)] = faults(found, "facilities.csv")
    assert (line, column, value) == (1, "position", "(lat 30.2, lon 1.5)")


def test_an_outline_comes_as_attached_geojson(register, officer):
    land = {"type": "Polygon", "coordinates": [BLOCK[::-1]]}
    attached = {"contentType": "application/geo+json",
                "data": base64.b64encode(json.dumps(land).encode()).decode()}  # fmt: skip
    area = {
        "resourceType": "Location", "type": typed("jurisdiction"), "name": "Upper block",
        "identifier": named("upper", f"{OWN}/NamingSystem/area-code"),
        "extension": [{"url": "http://hl7.org/fhir/StructureDefinition/location-boundary-geojson",
                       "valueAttachment": attached}],
    }  # fmt: skip

    found = upload(register, officer, area)

    assert numbers(found) == {"areas.csv": (0, 0, 0, 0, 1)}
    assert found.notes[0] == "upper: rings that went the wrong way round were turned."


def test_what_has_no_place_in_the_register_is_told_of(register, officer):
    found = upload(
        register, officer,
        site(telecom=[{"system": "phone", "value": "1"}], status="suspended"),
        {"resourceType": "Practitioner"},
        {"resourceType": "Endpoint", "status": "active"},
        {"request": {"method": "DELETE", "url": "Location/1"}},
    )  # fmt: skip

    assert found.notes == [
        "Entries 4 ask for a deletion. Nothing is removed by an upload.",
        "Resources that are not read here: 1 Endpoint, 1 Practitioner.",
        "hill is suspended there. An upload closes no site: do so by hand where it is right.",
        "Location: telecom has no place here.",
        "The register says all of this already: there is nothing to change.",
    ]


@pytest.mark.parametrize(
    ("resource", "fault"),
    [
        (site(status="broken"),
         ("status", "broken", "is no code of the standard",
          "Expected one of active, inactive, suspended.")),
        (site(mode="real"),
         ("mode", "real", "is no code of the standard", "Expected one of instance, kind.")),
        (site(position={"longitude": 181, "latitude": 1}),
         ("position.longitude", "181", "is no degree",
          "Expected decimal degrees on WGS 84 from -180 to 180.")),
        (site(position={"latitude": 1}),
         ("position.longitude", "", "is no degree",
          "Expected decimal degrees on WGS 84 from -180 to 180.")),
        ({**site(), "identifier": [{"use": "mine", "value": "hill"}]},
         ("identifier.use", "mine", "is no code of the standard",
          "Expected one of official, old, secondary, temp, usual.")),
        ({**site(), "identifier": []},
         ("identifier", "", "is missing, so that nobody can tell which site this is",
          "Give it an identifier with a value.")),
        (site(status="entered-in-error"),
         ("status", "entered-in-error", "is no code of the standard",
          "Expected one of active, inactive, suspended.")),
    ],
)  # fmt: skip
def test_a_wrong_resource_is_refused_by_its_entry(register, officer, resource, fault):
    found = upload(register, officer, site("ford"), resource)

    assert faults(found, "facilities.csv")[0] == (2, *fault)
    assert numbers(found)["facilities.csv"][3] == 1


def test_a_device_that_was_never_there_is_refused(register, officer):
    found = upload(register, officer, device(status="entered-in-error"))

    assert faults(found, "equipment.csv") == [
        (1, "status", "entered-in-error", "says that this was never so",
         "Leave the entry out; remove the row by hand where it is in the register.")
    ]  # fmt: skip


def test_a_site_of_somebody_else_is_refused(register, officer):
    found = upload(register, officer, site("coast", name="Mine now"))

    assert numbers(found)["facilities.csv"] == (0, 0, 0, 1, 0)


@pytest.mark.parametrize(
    ("document", "message"),
    [
        ({"resourceType": "Location"},
         "bundle.json is no FHIR Bundle."),
        (bundle(kind="message"),
         "bundle.json is a Bundle of the type 'message', expected one of collection, transaction,"
         " batch, searchset."),
        (bundle(), "bundle.json has no entries."),
        (bundle({"fullUrl": "urn:x"}), "bundle.json: entry 1 has no resource."),
        (bundle({"resourceType": "Patient"}), "bundle.json has no resource that is read here."),
        (bundle({"fullUrl": "urn:x", "resource": site()}, {"fullUrl": "urn:x", "resource": site()}),
         "bundle.json: entry 2 has the same fullUrl as entry 1."),
    ],
)  # fmt: skip
def test_what_is_no_bundle_to_be_read_is_refused_whole(register, officer, document, message):
    found = upload(register, officer, document=document)

    assert found.state == "refused"
    assert found.message.startswith(message)
