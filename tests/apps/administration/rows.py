"""Rows of every table that the administration pages show."""

from typing import Any

from django.db.models import Model
from django.utils import timezone

from apps.accounts.models import Invitation, User
from apps.audit.services import record
from apps.catalogue.models import Attribute, CatalogueVersion, InfrastructureCost, Source
from apps.coverage.models import Assessment, Document, Finding, SiteWorkload
from apps.facilities.models import Stewardship
from apps.imports.models import ColumnMapping, SiteIdentifier, UnmappedFile, Upload, Workbook
from apps.plans.models import Earmark, Floor, Line, ReviewNote, Step
from tests.factories import catalogue, demand, facilities, inventory
from tests.factories.accounts import make_person
from tests.factories.plans import make_plan, make_run

HOURS = ("asked", "doable", "staff_needed_hours", "staff_available_hours")


def make_one_of_each(number: int) -> list[Model]:
    """A row of every table, each the only one of its kind that has ``number`` in its codes."""
    person = make_person(f"person-{number}")
    district = facilities.make_district(f"district-{number}")
    block = facilities.make_block(f"block-{number}", district)
    hill, ford = (facilities.make_facility(f"{name}-{number}", block) for name in ("hill", "ford"))
    entries = _catalogue(number)
    made = [
        *entries.values(),
        person,
        district,
        block,
        hill,
        Stewardship.objects.create(user=person, area=district),
        Invitation.objects.create(
            code_sha256=f"{number:064d}",
            person="Somebody",
            role="planner",
            made_by=person,
            expires_at=timezone.now(),
        ),
        CatalogueVersion.objects.create(
            number=number + 1, title="A version", sha256="0" * 64, content=b""
        ),
        facilities.make_route(hill, ford),
        facilities.make_travel_time(hill, ford),
        *_held(hill, ford, entries),
        inventory.make_demand(hill, entries["test"], 10),
        demand.make_statistic(hill, entries["test"], 10),
        demand.make_consumption(hill, entries["test"], 10),
        demand.make_rate(entries["test"], 0.5, area=block),
        demand.make_prevalence(entries["test"], 0.1, area=block),
        Workbook.objects.create(
            key=f"{number:020d}", area=block, by=person, row_count=1, sha256="0" * 64
        ),
        SiteIdentifier.objects.create(facility=hill, system="urn:x", value=f"{number}"),
        UnmappedFile.objects.create(file_name="a.csv", content=b"", area=block, by=person),
        ColumnMapping.objects.create(
            district=district,
            signature=f"{number:064d}",
            heads=["a"],
            table="equipment.csv",
            columns=["code"],
            by=person,
        ),
        Upload.objects.create(
            kind="workbook",
            file_name="a.xlsx",
            sha256="0" * 64,
            size_bytes=1,
            area=block,
            by=person,
        ),
    ]
    return [
        *made,
        *_answers(number, person, district, hill, entries),
        record("x.y", by=person, obj=hill),
    ]


def _held(hill: Any, ford: Any, entries: dict[str, Any]) -> list[Model]:
    return [
        item := inventory.make_item(hill, entries["model"]),
        inventory.make_verification(item),
        inventory.make_skill_held(hill, entries["skill"]),
        inventory.make_infrastructure_held(hill, entries["infrastructure"]),
        inventory.make_staff_held(hill),
        inventory.make_consumable_held(hill, entries["consumable"]),
        inventory.make_move(item, ford),
        inventory.make_service_entry(item),
        facilities.make_observation(hill),
    ]


def _catalogue(number: int) -> dict[str, Any]:
    skill = catalogue.make_skill(f"skill-{number}")
    infrastructure = catalogue.make_infrastructure(f"infrastructure-{number}", cost={1: 5})
    device_class = catalogue.make_device_class(f"class-{number}", rcf_g="number")
    model = catalogue.make_device_model(f"model-{number}", device_class, specs={"rcf_g": 2000})
    test = catalogue.make_test(f"test-{number}")
    method = catalogue.make_method(f"method-{number}", test, skills=(skill,))
    need = catalogue.make_need(method, device_class, rcf_g=("min", 1000))
    return {
        "source": Source.objects.create(code=f"source-{number}", title="A handbook", kind="demo"),
        "programme": catalogue.make_programme(f"programme-{number}"),
        "skill": skill,
        "infrastructure": infrastructure,
        "cost": InfrastructureCost.objects.get(infrastructure=infrastructure),
        "class": device_class,
        "attribute": Attribute.objects.get(device_class=device_class),
        "model": model,
        "served": model.served_classes.get(),
        "specification": model.specifications.get(),
        "test": test,
        "method": method,
        "need": need,
        "requirement": need.requirements.get(),
        **_evidence(number, device_class, model, method),
    }


def _evidence(number: int, device_class: Any, model: Any, method: Any) -> dict[str, Any]:
    spin = catalogue.make_spin(f"spin-{number}")
    consumable = catalogue.make_consumable(f"consumable-{number}")
    return {
        "spin": spin,
        "step": catalogue.make_step(method, "spin", spin=spin),
        "control": catalogue.make_control(method),
        "consumable": consumable,
        "use": catalogue.make_use(method, consumable),
        "range": catalogue.make_range(device_class),
        "limit": catalogue.make_limit(f"limit-{number}", device_class=device_class),
        "study": catalogue.make_study(f"study-{number}", device_model=model),
    }


def _answers(
    number: int, person: User, district: Any, facility: Any, entries: dict[str, Any]
) -> list[Model]:
    document = Document.objects.create(sha256=f"{number:064d}", content=b"")
    assessment = Assessment.objects.create(area=district, case=document, made_by=person)
    plan = make_plan(district, person)
    run = make_run(plan)
    line = {"item_code": "model", "item_name": "Model", "quantity": 1, "cost": 1}
    return [
        document,
        assessment,
        Finding.objects.create(
            assessment=assessment, facility=facility, test=entries["test"], state="runs"
        ),
        SiteWorkload.objects.create(
            assessment=assessment, facility=facility, **dict.fromkeys(HOURS, 1)
        ),
        plan,
        run,
        Earmark.objects.create(plan=plan, programme=entries["programme"], amount=1),
        Floor.objects.create(plan=plan, area=district, share=0.5),
        Line.objects.create(run=run, facility=facility, kind="buy", **line),
        Step.objects.create(plan=plan, run=run, kind="proposed", by=person),
        ReviewNote.objects.create(plan=plan, by=person, text="Why?"),
    ]
