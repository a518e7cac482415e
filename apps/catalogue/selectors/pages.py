from dataclasses import dataclass

from django.db.models import Case, Prefetch, Q, QuerySet, Value, When

from apps.catalogue.choices import ClinicalGrade
from apps.catalogue.models import (
    DeviceModel,
    Method,
    MethodConsumable,
    MethodStep,
    PlanningRange,
    QualityControl,
    Requirement,
    SpinProcedure,
    Study,
    VerificationLimit,
)
from apps.catalogue.selectors.lists import device_models, methods
from planner.engine import evidence


@dataclass(frozen=True)
class Evidence:
    """What is known for a device model: the grade that it states and the one that follows.

    ``missing``: what would be needed for the grade above the one that follows; empty at A.
    """

    stated: str
    supported: str
    studies: tuple[Study, ...]
    missing: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether the model states a better or a worse grade than its studies give it."""
        return self.stated != self.supported


@dataclass(frozen=True)
class MethodPage:
    """A method with all that hangs on it, and the limits of itself, its test and its devices."""

    method: Method
    limits: tuple[VerificationLimit, ...]


@dataclass(frozen=True)
class DevicePage:
    """A device model with its evidence, and the limits and planning ranges of its classes."""

    model: DeviceModel
    evidence: Evidence
    limits: tuple[VerificationLimit, ...]
    ranges: tuple[PlanningRange, ...]


def spin_procedures() -> QuerySet[SpinProcedure]:
    """Force and time of each procedure, with the steps that follow it; three queries.

    Each step has its method with its test, and its need with what is required of the device.
    """
    requirements = Requirement.objects.select_related("attribute", "source")
    steps = MethodStep.objects.select_related("method__test", "need").prefetch_related(
        Prefetch("need__requirements", requirements)
    )
    return SpinProcedure.objects.select_related("source").prefetch_related(Prefetch("steps", steps))


def test_methods(code: str) -> QuerySet[Method]:
    """The methods of one test, those of the best clinical grade first; constant queries.

    Each with needs, requirements, skills, infrastructure, steps, controls and consumables. No
    methods where there is no such test.
    """
    ranks = (When(clinical_grade=grade, then=Value(n)) for n, grade in enumerate(ClinicalGrade))
    return _with_parts(methods()).filter(test__code=code).order_by(Case(*ranks), "code")


def method_page(code: str) -> MethodPage:
    """One method and the limits it is verified by; a constant number of queries.

    Raises ``Method.DoesNotExist``.
    """
    method = _with_parts(methods()).select_related("test__programme", "test__source").get(code=code)
    classes = [need.device_class_id for need in method.needs.all()]
    mine = Q(method=method) | Q(test=method.test) | Q(device_class__in=classes)
    return MethodPage(method, tuple(_limits().filter(mine)))


def device_page(code: str) -> DevicePage:
    """One device model, what is known of it and what it is verified by; eight queries.

    Raises ``DeviceModel.DoesNotExist``.
    """
    studies = Study.objects.select_related("source")
    ranges = "served_classes__device_class__ranges__source"
    model = device_models().prefetch_related(Prefetch("studies", studies), ranges).get(code=code)
    classes = [served.device_class for served in model.served_classes.all()]
    return DevicePage(
        model,
        evidence_of(model),
        tuple(_limits().filter(device_class__in=classes)),
        tuple(each for device_class in classes for each in device_class.ranges.all()),
    )


def evidence_of(model: DeviceModel) -> Evidence:
    """The grade that ``model`` states beside the one that its approval and studies give it.

    One query, none where ``studies`` is prefetched with its sources.
    """
    studies = tuple(model.studies.all())
    evaluations = [
        evidence.Evaluation(
            source=study.source.code,
            setting=study.setting or None,
            intended_users=study.intended_users,
            peer_reviewed=study.peer_reviewed,
            limits_met=study.limits_met,
            smallest_class=study.smaller_class,
        )
        for study in studies
    ]
    return Evidence(
        stated=model.evidence,
        supported=evidence.grade(model.approval, evaluations),
        studies=studies,
        missing=evidence.missing(model.approval, evaluations),
    )


def _with_parts(methods: QuerySet[Method]) -> QuerySet[Method]:
    steps = MethodStep.objects.select_related("need__device_class", "spin__source", "source")
    consumables = MethodConsumable.objects.select_related("consumable__source", "source")
    return methods.prefetch_related(
        Prefetch("steps", steps),
        Prefetch("controls", QualityControl.objects.select_related("source")),
        Prefetch("consumables", consumables),
        Prefetch("studies", Study.objects.select_related("source")),
    )


def _limits() -> QuerySet[VerificationLimit]:
    return VerificationLimit.objects.select_related("device_class", "method", "test", "source")
