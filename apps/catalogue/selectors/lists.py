from django.db.models import Prefetch, QuerySet

from apps.catalogue.models import (
    Consumable,
    DeviceClass,
    DeviceModel,
    Infrastructure,
    LabTest,
    Method,
    Need,
    Programme,
    Requirement,
    ServedClass,
    Skill,
    Specification,
)


def programmes() -> QuerySet[Programme]:
    """Programmes by code; one query."""
    return Programme.objects.all()


def tests() -> QuerySet[LabTest]:
    """Tests with their programme and source; one query."""
    return LabTest.objects.select_related("programme", "source")


def methods() -> QuerySet[Method]:
    """Methods with all that they need, every number with its source; five queries."""
    requirements = Requirement.objects.select_related("attribute__device_class", "source")
    needs = Need.objects.select_related("device_class", "source").prefetch_related(
        Prefetch("requirements", requirements)
    )
    return Method.objects.select_related(
        "test", "source", "sensitivity_source", "specificity_source"
    ).prefetch_related(Prefetch("needs", needs), "skills", "infrastructure")


def device_models() -> QuerySet[DeviceModel]:
    """Device models with the classes they serve and their specifications; four queries."""
    specifications = Specification.objects.select_related("attribute__device_class", "source")
    served = ServedClass.objects.select_related("device_class")
    return DeviceModel.objects.select_related("source").prefetch_related(
        "programmes",
        Prefetch("served_classes", served),
        Prefetch("specifications", specifications),
    )


def skills() -> QuerySet[Skill]:
    """Skills with the source of their costs; one query."""
    return Skill.objects.select_related("source")


def infrastructure() -> QuerySet[Infrastructure]:
    """Infrastructure with what it costs at each level of care; two queries."""
    return Infrastructure.objects.select_related("source").prefetch_related("costs")


def device_classes() -> QuerySet[DeviceClass]:
    """Device classes by name; one query."""
    return DeviceClass.objects.order_by("name")


def consumables() -> QuerySet[Consumable]:
    """Consumables by name; one query."""
    return Consumable.objects.order_by("name")
