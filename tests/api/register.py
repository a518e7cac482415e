"""A small register, written out row by row, and the people who may look at it.

District *north* has the block *upper* with the sites *hill* (a working photometer) and
*ford* (nothing); district *south* has the site *coast*. One test, haemoglobin, has one
method, which needs a photometer of class *photometer* with a wavelength of 540 nm, the skill
*microscopy* and *water*.
"""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from apps.accounts.models import User
from apps.catalogue.models import (
    Attribute,
    DeviceClass,
    DeviceModel,
    Infrastructure,
    InfrastructureCost,
    LabTest,
    Method,
    Need,
    Programme,
    Requirement,
    ServedClass,
    Skill,
    Source,
    Specification,
)
from apps.demand.models import Demand
from apps.facilities.models import Area, Facility, ReferralRoute, Stewardship
from apps.inventory.models import EquipmentItem, InfrastructureHeld, SkillHeld
from apps.plans.models import Plan
from tests.factories import catalogue

DAY = dt.date(2026, 1, 15)


@dataclass(frozen=True)
class Register:
    north: Area
    upper: Area
    south: Area
    hill: Facility
    ford: Facility
    coast: Facility


def make_register() -> Register:
    make_catalogue()
    north = Area.objects.create(code="north", name="North", kind="district")
    upper = Area.objects.create(code="upper", name="Upper block", kind="block", parent=north)
    south = Area.objects.create(code="south", name="South", kind="district")
    hill = make_facility("hill", upper, population=12_000)
    ford = make_facility("ford", upper, population=8_000)
    coast = make_facility("coast", south, population=5_000)
    ReferralRoute.objects.create(
        origin=ford, destination=hill, hours=3, cost_per_specimen=Decimal("0.4")
    )
    photometer = DeviceModel.objects.get(code="cuvette-photometer")
    EquipmentItem.objects.create(
        code="hill-001",
        facility=hill,
        device_model=photometer,
        condition="in_use",
        observed_on=DAY,
        basis="observed",
    )
    EquipmentItem.objects.create(
        code="coast-001", facility=coast, device_model=photometer, condition="repairable"
    )
    for site in (hill, coast):
        SkillHeld.objects.create(
            facility=site, skill=Skill.objects.get(), staff_count=1, observed_on=DAY
        )
        InfrastructureHeld.objects.create(
            facility=site, infrastructure=Infrastructure.objects.get(), presence="present"
        )
    return Register(north, upper, south, hill, ford, coast)


def make_catalogue() -> None:
    source = Source.objects.create(code="demo", title="Invented", kind="demo", year=2026)
    sourced = {"source": source, "source_kind": "demo", "dated_on": DAY}
    maternal = Programme.objects.create(code="maternal", name="Maternal health")
    photometer = DeviceClass.objects.create(code="photometer", name="Photometer")
    wavelength = Attribute.objects.create(
        device_class=photometer,
        code="wavelength_nm",
        name="Wavelength",
        value_kind="number",
        ucum="nm",
    )
    _make_device_model(maternal, wavelength, sourced)
    _make_method(maternal, wavelength, sourced)


def _make_device_model(programme: Programme, wavelength: Attribute, sourced: dict) -> None:
    model = DeviceModel.objects.create(
        code="cuvette-photometer",
        name="Cuvette photometer",
        evidence="A",
        price=900,
        annual_cost=50,
        repair_cost=120,
        hours_per_year=1500,
        **sourced,
    )
    model.programmes.add(programme)
    ServedClass.objects.create(device_model=model, device_class=wavelength.device_class)
    Specification.objects.create(device_model=model, attribute=wavelength, value=540, **sourced)


def _make_method(programme: Programme, wavelength: Attribute, sourced: dict) -> None:
    skill = Skill.objects.create(
        code="microscopy",
        name="Microscopy",
        training_cost=200,
        trainer_days=2,
        supervision_cost=30,
        **sourced,
    )
    water = Infrastructure.objects.create(code="water", name="Running water", **sourced)
    InfrastructureCost.objects.create(infrastructure=water, level=2, cost=500)
    haemoglobin = LabTest.objects.create(
        code="haemoglobin",
        name="Haemoglobin",
        programme=programme,
        weight=1,
        max_transport_hours=24,
        lowest_level=2,
        **sourced,
    )
    method = Method.objects.create(
        code="haemoglobin-photometry",
        name="Cyanmethaemoglobin, photometer",
        test=haemoglobin,
        sensitivity=0.95,
        sensitivity_source=sourced["source"],
        sensitivity_kind="demo",
        cadre="K2",
        minutes_per_sample=6,
        consumable_cost=Decimal("0.5"),
        **sourced,
    )
    method.skills.add(skill)
    method.infrastructure.add(water)
    need = Need.objects.create(
        method=method,
        position=1,
        device_class=wavelength.device_class,
        minutes_per_run=3,
        **sourced,
    )
    Requirement.objects.create(
        need=need, attribute=wavelength, comparator="is", value=540, **sourced
    )
    catalogue.make_step(method, "spin", spin=catalogue.make_spin(), need=need, minutes=10)
    catalogue.make_control(method, "level")
    catalogue.make_use(method, catalogue.make_consumable("reagent", unit_price="0.25"), 2)
    catalogue.make_study("bench-2024", method=method, n=120, sensitivity=0.95)
    model = DeviceModel.objects.get(code="cuvette-photometer")
    catalogue.make_study("field-2025", device_model=model, n=80)
    catalogue.make_limit("wavelength", device_class=wavelength.device_class)
    catalogue.make_range(wavelength.device_class, low=300, high=1500)


def make_facility(code: str, area: Area, **facts: object) -> Facility:
    values = {"level": 2, "latitude": 1.0, "longitude": 30.0, "testing_hours_per_year": 1_000}
    site = Facility.objects.create(code=code, name=code.title(), area=area, **{**values, **facts})
    Demand.objects.create(
        facility=site,
        test=LabTest.objects.get(code="haemoglobin"),
        tests_per_year=1_000,
        basis="demo",
        year=2026,
    )
    return site


def make_person(role: str, area: Area) -> User:
    person = User.objects.create_user(f"{role}-{area.code}", password="correct horse", role=role)
    Stewardship.objects.create(user=person, area=area)
    return person


def make_plan(area: Area, by: User, **values: object) -> Plan:
    return Plan.objects.create(
        **{"title": "Next year", "capital": Decimal(3000), "area": area, "made_by": by, **values}
    )
