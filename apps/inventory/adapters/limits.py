"""Limits of the catalogue in sets: of one rule, for one class, method or test."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Self

from django.db.models import Q, QuerySet

from apps.catalogue.choices import Measure, StepKind
from apps.catalogue.models import DeviceModel, Method, VerificationLimit
from apps.inventory.choices import MEASURES_OF, VerificationKind
from planner.engine.agreement import Limit
from planner.engine.errors import InputError

SUBJECTS = ("device_class", "method", "test")
ANSWERING = (StepKind.MEASURE, StepKind.READ)
# Stated neither by the source nor by the rule, a pass counts a year (planning default).
DEFAULT_MONTHS = 12
# Where a limit states no number of specimens: comparisons take 20 to 40, tests of yes and no
# at least 20 positives and 50 negatives (common practice of method verification). A speed or
# a temperature may be checked by one reading.
FEWEST = {
    Measure.BIAS: 20,
    Measure.LIMITS_OF_AGREEMENT: 20,
    Measure.TOTAL_ERROR: 20,
    Measure.TOTAL_ERROR_PCT: 20,
    Measure.AGREEMENT: 20,
    Measure.SENSITIVITY: 20,
    Measure.SPECIFICITY: 50,
}
# How units of UCUM are written for people.
UNIT_WORDS = {"Cel": "°C", "[g]": "g", "1": "", "{ratio}": "", "uL": "µL", "/min": "rpm"}


@dataclass(frozen=True)
class LimitSet:
    """The limits of one rule on one subject, as plain values that can be kept.

    ``subject_kind`` is one of ``SUBJECTS``. Each limit is a mapping with the fields of
    ``catalogue.VerificationLimit`` and the source in words.
    """

    rule: str
    subject_kind: str
    subject: str
    subject_name: str
    limits: tuple[Mapping[str, Any], ...]

    @classmethod
    def of_kept(cls, rule: str, subject: str, kept: Mapping[str, Any]) -> Self:
        """The set that a verification was held against, as it was then."""
        return cls(rule, kept["subject_kind"], subject, kept["subject_name"], tuple(kept["limits"]))

    @property
    def key(self) -> str:
        return f"{self.rule}/{self.subject}"

    @property
    def kinds(self) -> list[str]:
        """The kinds of readings that can say something about one of the limits."""
        return [
            kind
            for kind in VerificationKind.values
            if any(_is_of(kind, each) for each in self.limits)
        ]

    @property
    def analytes(self) -> list[str]:
        """What the limits tell apart; empty where they are for the device as a whole."""
        return sorted({each["analyte"] for each in self.limits if each["analyte"]})

    def unit(self, analyte: str = "") -> str:
        """The unit that paired readings must be in; blank where limits are in per cent of them.

        Raises ``InputError`` where the limits themselves are in two units.
        """
        units = self.units(analyte)
        if len(units) > 1:
            said = f"{self.rule} has limits in {' and '.join(units)} for the same readings"
            raise InputError("verification", [f"limits: {said}. Part them in the catalogue"])
        return units[0] if units else ""

    def units(self, analyte: str = "") -> list[str]:
        """The units of the limits on amounts of ``analyte``; more than one cannot be used."""
        limits = [each for each in self.limits if each["analyte"] in ("", analyte)]
        units = {each["ucum"] for each in limits if each["measure"] in _IN_THE_UNIT_MEASURED}
        return sorted(units | {each["range_ucum"] for each in limits if each["range_ucum"]})

    def of(self, kind: str, analyte: str = "") -> tuple[Mapping[str, Any], ...]:
        """Those that readings of ``kind`` of ``analyte`` are held against."""
        return tuple(
            each for each in self.limits if _is_of(kind, each) and each["analyte"] in ("", analyte)
        )

    def months(self, kind: str, analyte: str = "") -> int:
        """How long a pass counts: the shortest that a limit states."""
        stated = [each["valid_months"] for each in self.of(kind, analyte) if each["valid_months"]]
        return min(stated, default=DEFAULT_MONTHS)


_IN_THE_UNIT_MEASURED = frozenset(
    {Measure.BIAS, Measure.LIMITS_OF_AGREEMENT, Measure.DUPLICATES, Measure.TOTAL_ERROR}
)


def limit_sets(limits: Iterable[VerificationLimit]) -> list[LimitSet]:
    """``limits`` (with subject and source loaded) in sets, by subject and rule."""
    grouped: dict[tuple[str, str, str], list[VerificationLimit]] = {}
    for limit in limits:
        kind = next(kind for kind in SUBJECTS if getattr(limit, f"{kind}_id"))
        grouped.setdefault((kind, getattr(limit, kind).code, limit.rule), []).append(limit)
    return [
        LimitSet(
            rule=rule,
            subject_kind=kind,
            subject=subject,
            subject_name=getattr(of_rule[0], kind).name,
            limits=tuple(_kept(limit) for limit in of_rule),
        )
        for (kind, subject, rule), of_rule in sorted(grouped.items(), key=lambda pair: pair[0])
    ]


def sets_for(model: DeviceModel) -> list[LimitSet]:
    """The sets of limits that a device of ``model`` can be held against; two queries.

    Those for its classes and for the methods that use them; those for a test only where a
    class of it measures or reads: a centrifuge does not answer for the glucose that an
    analyser finds. Of a method told without steps nobody knows, so that all its devices do.
    """
    classes = list(model.served_classes.values_list("device_class", flat=True))
    methods = Method.objects.filter(needs__device_class__in=classes)
    answering = methods.filter(
        Q(steps=None) | Q(steps__kind__in=ANSWERING, steps__need__device_class__in=classes)
    )
    return limit_sets(
        all_limits().filter(
            Q(device_class__in=classes)
            | Q(method__in=methods)
            | Q(test__in=answering.values("test"))
        )
    )


def all_limits() -> QuerySet[VerificationLimit]:
    return VerificationLimit.objects.select_related("device_class", "method", "test", "source")


def engine_limit(kept: Mapping[str, Any]) -> Limit:
    """A kept limit as the engine has it; its name is the measure's, and the analyte's."""
    name = str(Measure(kept["measure"]).label)
    return Limit(
        measure=kept["measure"],
        name=f"{name}, {kept['analyte']}" if kept["analyte"] else name,
        low=kept["low"],
        high=kept["high"],
        unit=unit_words(kept["ucum"]),
        minimum_samples=samples_of(kept),
        rule=kept["rule"],
        analyte=kept["analyte"],
        share_within=kept["share_within"],
        range_low=kept["range_low"],
        range_high=kept["range_high"],
    )


def samples_of(kept: Mapping[str, Any]) -> int:
    """The fewest readings by which a limit counts as kept."""
    return kept["minimum_samples"] or FEWEST.get(kept["measure"], 1)


def unit_words(ucum: str) -> str:
    """``°C`` for ``Cel``; a unit that is written alike is itself."""
    return UNIT_WORDS.get(ucum, ucum)


def _is_of(kind: str, kept: Mapping[str, Any]) -> bool:
    return kept["measure"] in MEASURES_OF[kind]


def _kept(limit: VerificationLimit) -> dict[str, Any]:
    names = (
        "code", "rule", "measure", "analyte", "low", "high", "ucum", "share_within", "range_low",
        "range_high", "range_ucum", "minimum_samples", "valid_months", "source_kind", "note",
    )  # fmt: skip
    return {
        **{name: getattr(limit, name) for name in names},
        "source": limit.source.title,
        "dated_on": limit.dated_on.isoformat(),
    }
