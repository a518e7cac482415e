"""What each action is good for: the volumes at its site that need what it gives.

A volume needs an action if its method asks for something that the site lacked and the
action gives. Units beside which the site had a suiting one already add machine hours.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.engine.allocation.explain.change import Change, changes
from planner.engine.attributes import number_in_words
from planner.engine.case import Action, Case, DeviceModel, Result, Volume

_SENDERS_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Reason:
    """What one action is good for.

    ``tests`` are codes, in the order of the case; ``tests_per_year`` the volumes at the
    site that need the action; ``people`` those of all sites whose specimens are among them.
    """

    site: str
    kind: str
    item: str
    text: str
    tests: tuple[str, ...]
    tests_per_year: float
    people: float


def reasons(case: Case, result: Result) -> tuple[Reason, ...]:
    """One reason for each action of ``result``, in the same order.

    ``result`` must be an answer to ``case`` that ``verify`` accepts.
    """
    at = changes(case, result)
    words = _Words(case)
    return tuple(_reason(action, at[action.site], words) for action in result.actions)


def _reason(action: Action, change: Change, words: "_Words") -> Reason:
    opened = change.opened_by[action]
    served = opened or change.served_by(action)
    volumes = [volume for volume in change.volumes if volume.method in served]
    per_test = words.by_test(change, volumes)
    people = sum(words.population[origin] for origin in {volume.origin for volume in volumes})
    if opened:
        done = words.opened(action, change, per_test, volumes)
        text = f"{done} {words.beneficiaries(change, volumes)}"
    elif volumes:
        done = "; ".join(words.amount(test, per_year) for test, per_year in per_test.items())
        text = f"{words.hours(action)} {done}. {words.beneficiaries(change, volumes)}"
    else:
        text = "No test of this plan needs it."
    if bundles := words.bundles_of(action, change):
        text = f"Belongs to {_listed(bundles)}. {text}"
    if action.moved_from is not None:
        text = f"Brought from {words.sites[action.moved_from]}. {text}"
    if least := words.asked.get((action.site, action.kind, action.item)):
        text = f"Asked for: at least {least}. {text}"
    total = sum(per_test.values())
    return Reason(action.site, action.kind, action.item, text, tuple(per_test), total, people)


class _Words:
    """The names and figures of a case, put into sentences."""

    def __init__(self, case: Case) -> None:
        self.population = {site.code: site.population for site in case.sites}
        self.sites = {site.code: site.name for site in case.sites}
        self.tests = {test.code: test.name for test in case.tests}
        self.models: dict[str, DeviceModel] = {model.code: model for model in case.device_models}
        models = {code: model.name for code, model in self.models.items()}
        self.bundles = case.bundles
        self.asked = {
            (fixed.site, str(fixed.kind), fixed.item): fixed.at_least for fixed in case.fixed
        }
        self.items = {
            "buy": models,
            "repair": models,
            "move": models,
            "train": {skill.code: skill.name for skill in case.skills},
            "provide": {item.code: item.name for item in case.infrastructure},
        }

    def bundles_of(self, action: Action, change: Change) -> list[str]:
        """Names of the bundles bought at the site to which what ``action`` gives belongs."""
        bought = {other.item for other in change.actions if other.kind == "buy"}
        return [
            bundle.name
            for bundle in self.bundles
            if bundle.model in bought
            and action.item
            in {"train": bundle.skills, "provide": bundle.infrastructure}.get(action.kind, ())
        ]

    def by_test(self, change: Change, volumes: Iterable[Volume]) -> dict[str, float]:
        """Tests a year by test, in the order of the case."""
        sums: defaultdict[str, float] = defaultdict(float)
        for volume in volumes:
            sums[change.methods[volume.method].test] += volume.per_year
        return {test: sums[test] for test in self.tests if test in sums}

    def amount(self, test: str, per_year: float) -> str:
        return f"{self.tests[test]}, {_rounded(per_year)} a year"

    def opened(
        self,
        action: Action,
        change: Change,
        per_test: Mapping[str, float],
        volumes: Sequence[Volume],
    ) -> str:
        """The amount of each test; a sentence for all those that took the same partners.

        Most tests of one action share their partners, whose names are longer than all else.
        """
        noted: defaultdict[str, list[str]] = defaultdict(list)
        for test, per_year in per_test.items():
            noted[self._note(action, change, test, volumes)].append(self.amount(test, per_year))
        first, *others = sorted(noted, key=bool)  # what needed nothing else comes first
        heads = {first: f"Makes possible here, {first}" if first else "Makes possible here"}
        heads |= {note: note[0].upper() + note[1:] for note in others}
        return " ".join(f"{head}: {'; '.join(noted[note])}." for note, head in heads.items())

    def _note(self, action: Action, change: Change, test: str, volumes: Sequence[Volume]) -> str:
        """What else ``test`` took, and whether it ran here before."""
        methods = {v.method for v in volumes if change.methods[v.method].test == test}
        partners = [
            self._named(other)
            for other in change.actions
            if other is not action and methods & change.opened_by[other]
        ]
        notes = [f"together with {_listed(partners)}"] if partners else []
        if before := change.ran_before(test):
            best_before = max(method.sensitivity for method in before)
            best_now = max(change.methods[code].sensitivity for code in methods)
            notes.append(
                f"{'a more sensitive' if best_now > best_before else 'one more'} way than before"
            )
        return ", ".join(notes)

    def hours(self, action: Action) -> str:
        model = self.models[action.item]
        sure = model.repair_success if action.kind == "repair" else 1.0
        added = action.quantity * model.hours_up * sure
        return f"Adds {_rounded(added)} machine hours a year for"

    def beneficiaries(self, change: Change, volumes: Iterable[Volume]) -> str:
        """For how many people; who sends specimens, the largest senders first."""
        sent: defaultdict[str, float] = defaultdict(float)
        people = {volume.origin: self.population[volume.origin] for volume in volumes}
        for volume in volumes:
            if volume.origin != change.site.code:
                sent[volume.origin] += volume.per_year
        text = f"For {_rounded(sum(people.values()))} people"
        if not sent:
            return f"{text}."
        largest = sorted(sent, key=lambda origin: (-sent[origin], origin))
        senders = [
            f"{self.sites[origin]} ({_rounded(sent[origin])} a year)"
            for origin in largest[:_SENDERS_SHOWN]
        ]
        if len(largest) > _SENDERS_SHOWN:
            senders.append(f"{len(largest) - _SENDERS_SHOWN} more")
        return f"{text}, with specimens sent from {_listed(senders)}."

    def _named(self, action: Action) -> str:
        verbs = {"repair": "the repair of ", "train": "training in ", "move": "the move of "}
        return verbs.get(action.kind, "") + self.items[action.kind][action.item]


def _listed(words: Sequence[str]) -> str:
    """``a, b and c``."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def _rounded(amount: float) -> str:
    return number_in_words(round(amount)) if amount >= 1 or not amount else "less than 1"
