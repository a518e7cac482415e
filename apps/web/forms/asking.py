"""The questions of a plan that most people do not need: what to seek first, wishes, moves."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from apps.facilities.choices import Level
from apps.web.forms.asking_rows import ROWS, Row, filled, row_initial
from apps.web.forms.numbers import percent, plain_percent, share

AIMS = (
    ("most", _("As many tests as possible for the money")),
    ("least_money", _("Reach the targets below for as little money as possible")),
    ("worst_areas", _("Raise the worst-off area first, then the next")),
    ("worst_levels", _("Raise the worst-off level of care first, then the next")),
)
WORST = {"worst_areas": "areas", "worst_levels": "levels"}
BLANK_ROWS = 1
LEAST_ROWS = 2


@dataclass(frozen=True)
class Choices:
    """What can be chosen: things with ``code`` and ``name``; ``idle``: items of equipment."""

    areas: tuple[Any, ...]
    programmes: tuple[Any, ...]
    tests: tuple[Any, ...]
    sites: tuple[Any, ...]
    models: tuple[Any, ...]
    skills: tuple[Any, ...]
    infrastructure: tuple[Any, ...]
    classes: tuple[Any, ...]
    idle: tuple[Any, ...]


class AskingForm(forms.Form):
    """Everything that ``plans.adapters.Asked`` can say; answers are of that shape."""

    aim = forms.ChoiceField(
        label=_("What should the plan seek?"),
        choices=AIMS,
        initial="most",
        required=False,
        widget=forms.RadioSelect,
    )
    supervised = percent(
        label=_("What share of newly trained sites gets supervision?"),
        help_text=_("So much of the yearly cost of supervision is counted. Blank: all."),
        required=False,
    )

    def __init__(self, *args: Any, choices: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choices = choices
        for name, label in self._target_labels().items():
            self.fields[name] = percent(label=label, required=False)
        self.set_count = max(1, self._count("set"))
        for number in range(self.set_count):
            self._add_set(number)
        self.row_counts = {
            row.name: max(LEAST_ROWS, self._count(row.name) + (0 if self.is_bound else BLANK_ROWS))
            for row in ROWS
        }
        for row in ROWS:
            for number in range(self.row_counts[row.name]):
                for part, field in row.fields(choices).items():
                    self.fields[f"{row.name}-{number}-{part}"] = field

    # What the template asks for.

    def target_fields(self) -> list[BoundField]:
        return [self[name] for name in self._target_labels()]

    def sets(self) -> list[dict[str, BoundField]]:
        return [
            {part: self[f"set-{number}-{part}"] for part in ("tests", "levels", "share")}
            for number in range(self.set_count)
        ]

    def rows(self) -> dict[str, list[list[BoundField]]]:
        """By kind of row, the fields of each."""
        return {
            row.name: [
                [self[f"{row.name}-{number}-{part}"] for part in row.parts]
                for number in range(self.row_counts[row.name])
            ]
            for row in ROWS
        }

    def opened(self) -> dict[str, bool]:
        """Which folded parts hold something, and so stand open."""
        given = {name for name in self.fields if self[name].value() not in (None, "", [], "most")}
        wrong = set(self.errors) if self.is_bound else set()
        parts = {"aim": ("aim", "target-"), "set": ("set-",), "supervised": ("supervised",)}
        parts |= {row.name: (f"{row.name}-",) for row in ROWS}
        usual = ("-share", "-rule")
        shown = {name for name in given if not name.endswith(usual) and name != "supervised"}
        shown |= {"supervised"} & {n for n in given if self[n].value() != "100"}
        return {
            part: any(name.startswith(starts) for name in shown | wrong)
            for part, starts in parts.items()
        }

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if given.get("aim") == "least_money" and not any(self._targets(given)):
            self.add_error("aim", gettext("Write at least one target below."))
        for number in range(self.set_count):
            tests, levels = (given.get(f"set-{number}-{part}") for part in ("tests", "levels"))
            if bool(tests) != bool(levels):
                missing = "levels" if tests else "tests"
                self.add_error(f"set-{number}-{missing}", gettext("Choose at least one."))
        for row in ROWS:
            for number, values in self._filled(row, given):
                for part, message in row.mistakes(values):
                    self.add_error(f"{row.name}-{number}-{part}", message)
        return given

    def answers(self) -> dict[str, Any]:
        """What ``draft_plan`` takes as ``asked``."""
        given = self.cleaned_data
        asked: dict[str, Any] = {"minimum_sets": list(self._sets(given))}
        if aim := self._aim(given):
            asked["aim"] = aim
        if given["supervised"] is not None:
            asked["supervised_share"] = share(given["supervised"])
        for row in ROWS:
            asked |= row.answers([values for _, values in self._filled(row, given)])
        return {key: value for key, value in asked.items() if value not in ([], {})}

    # The parts of it.

    def _target_labels(self) -> dict[str, str]:
        return {
            "target-all": gettext("Of everything, in the whole district"),
            **{f"target-area-{area.code}": area.name for area in self.choices.areas},
            **{f"target-programme-{each.code}": each.name for each in self.choices.programmes},
        }

    def _add_set(self, number: int) -> None:
        by_programme: dict[str, list[tuple[str, str]]] = {}
        for test in self.choices.tests:
            by_programme.setdefault(test.programme.name, []).append((test.code, test.name))
        self.fields[f"set-{number}-levels"] = forms.MultipleChoiceField(
            label=_("Which sites?"),
            choices=Level.choices,
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        self.fields[f"set-{number}-share"] = percent(
            label=_("What share of the demand counts as reached?"),
            help_text=_("Blank: all of it."),
            required=False,
        )
        self.fields[f"set-{number}-tests"] = forms.MultipleChoiceField(
            label=_("Which tests?"),
            choices=sorted(by_programme.items()),
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )

    def _count(self, name: str) -> int:
        source: Iterable[str] = self.data if self.is_bound else self.initial
        numbers = [key.split("-")[1] for key in source if key.startswith(f"{name}-")]
        return min(50, max((int(n) + 1 for n in numbers if n.isdecimal()), default=0))

    def _filled(self, row: Row, given: Mapping[str, Any]) -> list[tuple[int, dict[str, Any]]]:
        return filled(row, self.row_counts[row.name], given)

    def _targets(self, given: Mapping[str, Any]) -> Iterable[dict[str, Any]]:
        for name in self._target_labels():
            if number := given.get(name):
                _, of, code = [*name.split("-", 2), ""][:3]
                yield {
                    "area": code if of == "area" else None,
                    "programme": code if of == "programme" else None,
                    "share": share(number),
                }

    def _aim(self, given: Mapping[str, Any]) -> dict[str, Any] | None:
        kind = given.get("aim")
        if kind == "least_money":
            return {"kind": "least_money", "targets": list(self._targets(given))}
        return {"kind": "worst_first", "over": WORST[kind]} if kind in WORST else None

    def _sets(self, given: Mapping[str, Any]) -> Iterable[dict[str, Any]]:
        for number in range(self.set_count):
            tests, levels, part = (
                given[f"set-{number}-{name}"] for name in ("tests", "levels", "share")
            )
            if tests:
                yield {
                    "code": f"set-{number + 1}",
                    "name": gettext("Minimum set %(number)d") % {"number": number + 1},
                    "levels": sorted(int(level) for level in levels),
                    "tests": tests,
                    "share": 1.0 if part is None else share(part),
                }


def asking_initial(asked: Mapping[str, Any]) -> dict[str, Any]:
    """The answers that would ask the same again."""
    aim = asked.get("aim", {"kind": "most"})
    kind = aim["kind"]
    initial: dict[str, Any] = {
        "aim": f"worst_{aim['over']}" if kind == "worst_first" else kind,
        "supervised": plain_percent(asked.get("supervised_share", 1.0)),
    }
    for target in aim.get("targets", ()):
        of, code = (
            ("area", target["area"]) if target["area"] else ("programme", target["programme"])
        )
        name = f"target-{of}-{code}" if code else "target-all"
        initial[name] = plain_percent(target["share"])
    for number, each in enumerate(asked.get("minimum_sets", ())):
        initial[f"set-{number}-levels"] = [str(level) for level in each["levels"]]
        initial[f"set-{number}-tests"] = each["tests"]
        initial[f"set-{number}-share"] = plain_percent(each["share"])
    return initial | row_initial(asked)
