"""One need against one device model, in words: what is met, what is not, what to measure."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.engine.attributes import attribute_in_words, range_in_words, value_in_words
from planner.engine.case import DeviceModel, Need, Serves
from planner.engine.conditions import Comparator, Condition, SpecValue
from planner.engine.matching.verdicts import Specs, Verdict, kind

_VERBS: Mapping[Comparator, str] = {
    "min": "reaches",
    "max": "has",
    "between": "reaches",
    "covers": "covers",
    "is": "is",
    "has": "has",
}
_PLURALS = {"a number": "numbers", "text": "texts", "yes or no": "yes or no"}


@dataclass(frozen=True, slots=True)
class Finding:
    """One condition held against one specification.

    ``reason`` has both in words; ``settle`` says, where the verdict is unknown, what to
    measure or find, and is empty otherwise.
    """

    attribute: str
    verdict: Verdict
    reason: str
    settle: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """A need held against a device model: the verdict of the model's best suited role."""

    verdict: Verdict
    findings: tuple[Finding, ...]


def check(attribute: str, condition: Condition, spec: SpecValue | None) -> Finding:
    """Hold ``condition`` against the specification ``spec`` (``None``: not stated)."""
    verdict = Verdict(int(Specs((spec,)).judged_by(condition)[0]))
    reason = f"{attribute}: needs {condition_in_words(attribute, condition)}, "
    if spec is None:
        return Finding(
            attribute,
            verdict,
            reason + "is not known",
            f"measure or find {attribute_in_words(attribute)}",
        )
    shown = value_in_words(attribute, spec)
    if verdict is Verdict.UNKNOWN:
        expected = _expected(condition)
        return Finding(
            attribute,
            verdict,
            f"{reason}is given as {shown}, expected {expected}",
            f"state {attribute_in_words(attribute)} as {expected}",
        )
    if condition.comparator == "covers" and isinstance(spec, tuple):
        shown = range_in_words(attribute, float(spec[0]), float(spec[1]))
    return Finding(attribute, verdict, f"{reason}{_VERBS[condition.comparator]} {shown}")


def match(need: Need, model: DeviceModel) -> Match:
    """Hold ``need`` against the roles of ``model`` that have its class; the best one counts.

    Of equally good roles the one with the fewest conditions short of met counts, then the
    one the case lists first.
    """
    found = [
        _match_role(need, role) for role in model.serves if role.device_class == need.device_class
    ]
    if not found:
        absent = Finding("class", Verdict.NOT_MET, f"serves no {need.device_class}")
        return Match(Verdict.NOT_MET, (absent,))
    best = max(found, key=lambda role: (role.verdict, -len(_short_of_met(role.findings))))
    named = (
        replace(finding, settle=f"{finding.settle} of {model.name}") if finding.settle else finding
        for finding in best.findings
    )
    return Match(best.verdict, tuple(named))


def condition_in_words(attribute: str, condition: Condition) -> str:
    """``at least 2 000 g``, ``10 000–15 000 g``, ``570, 880 nm``."""
    value = condition.value
    if condition.comparator in ("between", "covers") and isinstance(value, tuple):
        return range_in_words(attribute, float(value[0]), float(value[1]))
    bound = {"min": "at least ", "max": "at most "}.get(condition.comparator, "")
    return bound + value_in_words(attribute, value)


def need_in_words(need: Need) -> str:
    """``centrifuge with rcf_g at least 2 000 g, tubes at least 4``."""
    conditions = ", ".join(
        f"{attribute} {condition_in_words(attribute, condition)}"
        for attribute, condition in need.require.items()
    )
    return f"{need.device_class} with {conditions}" if conditions else need.device_class


def _expected(condition: Condition) -> str:
    if condition.comparator == "covers":
        return "a range of two numbers, the lower first"
    if isinstance(condition.value, tuple) and condition.comparator == "has":
        return "a list of " + " and ".join(
            sorted({_PLURALS[kind(item)] for item in condition.value})
        )
    return kind(condition.value) if not isinstance(condition.value, tuple) else "a number"


def _match_role(need: Need, role: Serves) -> Match:
    findings = tuple(
        check(attribute, condition, role.specs.get(attribute))
        for attribute, condition in need.require.items()
    )
    return Match(min((found.verdict for found in findings), default=Verdict.MET), findings)


def _short_of_met(findings: tuple[Finding, ...]) -> list[Finding]:
    return [finding for finding in findings if finding.verdict is not Verdict.MET]
