"""Bundles against FHIR R4 (4.0.1): examples of the specification, and the library fhir.resources.

The examples are those of the pages of Location, Organization, HealthcareService and Device at
hl7.org/fhir/R4, from memory and shortened. Codes of IHE mCSD are those of its code system
"IHE.mCSD.Organization.Location.Types". R4B, which the library has, says of these resources
what R4 says, as far as they are used here.
"""

import json

import pytest
from fhir.resources.R4B.bundle import Bundle

from apps.imports.adapters.bundles import checking
from apps.imports.adapters.bundles.checking import faults_of
from apps.imports.exports import register_bundle
from apps.imports.models import SiteIdentifier
from tests.api.register import make_person, make_register

LOCATION = {
    "resourceType": "Location",
    "id": "1",
    "identifier": [{"value": "B1-S.F2"}],
    "status": "active",
    "name": "South Wing, second floor",
    "alias": ["BU MC, SW, F2"],
    "description": "Second floor of the Old South Wing, formerly in use by Psychiatry",
    "mode": "instance",
    "telecom": [{"system": "phone", "value": "2328", "use": "work"}],
    "address": {"use": "work", "line": ["Galapagosweg 91, Building A"], "country": "NLD"},
    "physicalType": {
        "coding": [
            {
                "system": "http://terminology.hl7.org/CodeSystem/location-physical-type",
                "code": "wi",
                "display": "Wing",
            }
        ]
    },
    "position": {"longitude": -83.6945691, "latitude": 42.25475478, "altitude": 0},
    "managingOrganization": {"reference": "Organization/f001"},
}
ORGANIZATION = {
    "resourceType": "Organization",
    "id": "hl7",
    "name": "Health Level Seven International",
    "alias": ["HL7 International"],
    "telecom": [{"system": "email", "value": "hq@HL7.org"}],
}
SERVICE = {
    "resourceType": "HealthcareService",
    "id": "example",
    "identifier": [{"system": "http://example.org/shared-ids", "value": "HS-12"}],
    "active": True,
    "providedBy": {"reference": "Organization/f001"},
    "location": [{"reference": "Location/1"}],
    "name": "Consulting psychologists and/or psychology services",
    "characteristic": [{"coding": [{"display": "Wheelchair access"}]}],
    "availableTime": [{"daysOfWeek": ["wed"], "allDay": True}],
}
DEVICE = {
    "resourceType": "Device",
    "id": "example",
    "identifier": [{"system": "http://goodcare.org/devices/id", "value": "345675"}],
    "status": "active",
    "serialNumber": "AMID-342135-8464",
    "deviceName": [{"name": "Defibrillator", "type": "user-friendly-name"}],
    "manufacturer": "Acme Devices, Inc",
    "lotNumber": "43453424",
}
EXAMPLES = (LOCATION, ORGANIZATION, SERVICE, DEVICE)


@pytest.fixture
def document(db):
    register = make_register()
    SiteIdentifier.objects.create(facility=register.hill, system="urn:x", value="0042")
    officer = make_person("health_officer", register.north)
    return lambda kind: json.loads(register_bundle(officer, register.north, kind))


def of_kind(document, kind):
    found = [each["resource"] for each in document["entry"]]
    return [each for each in found if each["resourceType"] == kind]


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda each: each["resourceType"])
def test_examples_of_the_specification_have_nothing_wrong_with_them(example):
    assert faults_of(example) == []


@pytest.mark.parametrize("kind", ["collection", "transaction"])
def test_what_is_written_is_a_bundle_to_the_library_and_to_our_own_checks(document, kind):
    written = document(kind)

    assert Bundle.model_validate(written).type == kind
    assert [fault for each in written["entry"] for fault in faults_of(each["resource"])] == []


def test_the_library_takes_a_wrong_code_and_our_own_check_does_not():
    wrong = {**LOCATION, "status": "broken"}

    assert Bundle.model_validate(
        {"resourceType": "Bundle", "type": "collection", "entry": [{"resource": wrong}]}
    )
    assert [(each.column, each.value) for each in faults_of(wrong)] == [("status", "broken")]


@pytest.mark.parametrize(
    ("example", "changed", "places"),
    [
        (LOCATION, {"beds": 4}, ["beds"]),
        (LOCATION, {"name": 4}, ["name"]),
        (DEVICE, {"deviceName": [{"name": "x"}]}, ["deviceName.type"]),
        (DEVICE, {"status": "in-use"}, ["status"]),
        (SERVICE, {"availableTime": [{"daysOfWeek": ["Wednesday"]}]}, ["availableTime.daysOfWeek"]),
        (ORGANIZATION, {"name": ""}, ["name"]),
    ],
)
def test_what_the_standard_does_not_have_is_named_by_its_place(example, changed, places):
    assert [each.column for each in faults_of({**example, **changed})] == places


def test_without_the_library_required_codes_are_checked_all_the_same(monkeypatch):
    monkeypatch.setattr(checking, "get_fhir_model_class", None)

    assert [each.column for each in faults_of({**DEVICE, "status": "x", "beds": 1})] == ["status"]


def test_every_facility_and_every_area_is_a_pair_as_mcsd_has_it(document):
    written = document("collection")
    system = "https://profiles.ihe.net/ITI/mCSD/CodeSystem/IHE.mCSD.Organization.Location.Types"

    places = of_kind(written, "Location")
    addresses = {each["fullUrl"]: each["resource"] for each in written["entry"]}
    pairs = [(place, addresses[place["managingOrganization"]["reference"]]) for place in places]

    types = [
        {coding["code"] for each in of["type"] for coding in each["coding"]
         if coding["system"] == system}
        for pair in pairs for of in pair
    ]  # fmt: skip
    assert types == [{"jurisdiction"}] * 4 + [{"facility"}] * 4
    assert all(place["identifier"] == organization["identifier"] for place, organization in pairs)
    assert all("position" in place for place in places[2:])


def test_every_reference_is_to_an_entry_of_the_bundle(document):
    written = document("collection")
    text = json.dumps([each["resource"] for each in written["entry"]])

    addresses = [each["fullUrl"] for each in written["entry"]]
    referred = {part.split('"')[0] for part in text.split('"reference": "')[1:]}
    assert len(set(addresses)) == len(addresses)
    assert referred <= set(addresses)


def test_identifiers_are_those_of_the_registers_and_none_is_made_up(document):
    [hill] = [each for each in of_kind(document("collection"), "Location")
              if each["name"] == "Hill health centre" or "0042" in json.dumps(each)]  # fmt: skip

    assert hill["identifier"] == [
        {"system": "https://benchward.example/fhir/NamingSystem/site-code", "value": "hill"},
        {"system": "urn:x", "value": "0042"},
    ]


def test_a_transaction_finds_each_resource_by_its_identifier(document):
    requests = [each["request"] for each in document("transaction")["entry"]]

    assert {each["method"] for each in requests} == {"PUT"}
    assert requests[0]["url"] == (
        "Organization?identifier=https%3A%2F%2Fbenchward.example%2Ffhir%2FNamingSystem"
        "%2Farea-code%7Cnorth"
    )


def test_a_bundle_is_the_same_each_time_it_is_written(document):
    assert document("collection") == document("collection")
