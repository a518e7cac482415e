"""A district in which every fact is either known or not, written out to be checked by hand.

Block *upper*: *hill* (level 2, everything known: a working spinner, staining, water), *ford*
(level 1, nothing known), *mill* (level 1, known to have nothing). *blank* has no population,
*idle* no testing hours. *town* hangs on the district itself. Packed cell volume is spun in a
centrifuge of at least 10 000 g by somebody who can stain, where there is running water.
"""

from dataclasses import dataclass

from apps.catalogue.models import DeviceModel, Infrastructure, LabTest, Skill
from apps.facilities.models import Area, Facility
from tests.factories.catalogue import (
    make_device_class,
    make_device_model,
    make_infrastructure,
    make_method,
    make_need,
    make_programme,
    make_skill,
    make_test,
)
from tests.factories.facilities import make_block, make_district, make_facility, make_route
from tests.factories.inventory import (
    make_demand,
    make_infrastructure_held,
    make_item,
    make_skill_held,
)


@dataclass(frozen=True)
class District:
    north: Area
    upper: Area
    hill: Facility
    ford: Facility
    mill: Facility
    haematocrit: LabTest
    spinner: DeviceModel
    staining: Skill
    water: Infrastructure


def make_small_district() -> District:
    north = make_district("north", currency="EUR")
    upper = make_block("upper", north, name="Upper block")
    staining = make_skill("staining", training_cost="200.5", trainer_days=2, supervision_cost=30)
    water = make_infrastructure("water", name="Running water", cost={1: 500, 2: 700})
    centrifuge = make_device_class("centrifuge", rcf_g="number", heads="list")
    spinner = make_device_model(
        "spinner", centrifuge, specs={"rcf_g": 12000, "heads": [24, 36]},
        price=900, annual_cost=50, repair_cost="120.25", hours_per_year=1500, evidence="B",
    )  # fmt: skip
    spinner.programmes.add(make_programme("maternal"))
    haematocrit = make_test(
        "haematocrit", name="Packed cell volume", weight=1.5, max_transport_hours=4
    )
    method = make_method(
        "spun", haematocrit, skills=(staining,), infrastructure=(water,),
        sensitivity=0.95, staff_hours=0.1, consumable_cost="0.25",
    )  # fmt: skip
    make_need(method, centrifuge, hours=0.05, rcf_g=("min", 10000))
    hill = make_facility(
        "hill", upper, level=2, latitude=1.5, longitude=30.25, population=12000,
        testing_hours_per_year=1000,
    )  # fmt: skip
    ford = make_facility("ford", upper, population=5000, testing_hours_per_year=100)
    mill = make_facility("mill", upper, population=800, testing_hours_per_year=50)
    make_item(hill, spinner, "in_use")
    make_skill_held(hill, staining, 2)
    make_infrastructure_held(hill, water, "present")
    make_skill_held(mill, staining, 0)
    make_infrastructure_held(mill, water, "absent")
    for site in (hill, ford, mill):
        make_demand(site, haematocrit, 500)
    return District(north, upper, hill, ford, mill, haematocrit, spinner, staining, water)


def make_left_out(small: District) -> None:
    """Two facilities whose numbers do not suffice for a case."""
    make_facility("blank", small.upper, population=None)
    make_facility("idle", small.upper, testing_hours_per_year=None)
    make_route(small.ford, Facility.objects.get(code="blank"), hours=1)
