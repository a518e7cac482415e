"""What of a device can be verified: readings of a kind, held against limits, with care."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Self

from django.utils.translation import gettext_lazy as _

from apps.coverage.choices import State
from apps.inventory.adapters import COLUMNS, LimitSet
from apps.inventory.adapters.limits import engine_limit, samples_of
from apps.inventory.adapters.readings import in_words
from apps.inventory.choices import Outcome, Standing
from apps.inventory.choices import VerificationKind as Kind

# Marks of the pages for what is known of a device: the glyph and the colour of a state.
MARK_OF = {
    Standing.VALID: State.RUNS,
    Standing.DUE: State.RUNS,
    Standing.FAILED: State.BLOCKED,
    Standing.ENDED: State.UNKNOWN,
    Standing.EXPIRED: State.UNKNOWN,
    Standing.OPEN: State.UNKNOWN,
    Standing.NEVER: State.NOT_EXPECTED,
    Outcome.PASS: State.RUNS,
    Outcome.FAIL: State.BLOCKED,
    Outcome.NOT_ENOUGH: State.UNKNOWN,
}
UNIT_OF = {Kind.TEMPERATURE: "°C", Kind.TIMER: "s", Kind.VOLUME: "µL", Kind.WAVELENGTH: "nm"}
DECIDES = _(
    "This compares what was measured with stated limits. Whether the device may be used on"
    " patients, local rules and licensed staff decide."
)
SPECIMENS = _(
    "Handle every specimen as infectious: gloves, no recapping, sharps into the sharps box."
    " Report to patients only what the reference found."
)
CAUTIONS: dict[str, tuple[Any, ...]] = {
    Kind.SPIN: (
        _("Balance the rotor, close the guard, and stand clear; never brake or open it by hand."),
        _(
            "Look for cracks in tubes, capillaries and printed parts before each run, and wear eye"
            " protection: what turns fast breaks without warning."
        ),
        _(
            "If a tube breaks, leave the device closed for 30 minutes, then pick the pieces up with"
            " forceps, into the sharps box, and disinfect."
        ),
    ),
    Kind.PAIRED: (SPECIMENS,),
    Kind.YES_NO: (SPECIMENS, _("Whoever reads one of the two must not know the other's answer.")),
    Kind.TEMPERATURE: (_("Wait until the reading stands still; hot blocks burn."),),
    Kind.VOLUME: (_("Weigh distilled water at room temperature, free of draughts."),),
}


@dataclass(frozen=True)
class Option:
    """Something of a device that can be verified: readings of a kind against a set of limits."""

    kind: str
    limits: LimitSet
    analyte: str

    @classmethod
    def of(cls, verification: Any) -> Self:
        """What ``verification`` was held against, as it was then."""
        limits = LimitSet.of_kept(verification.rule, verification.subject, verification.limits)
        return cls(verification.kind, limits, verification.analyte)

    @property
    def key(self) -> str:
        return ":".join((self.kind, self.limits.rule, self.limits.subject, self.analyte))

    @property
    def kind_words(self) -> str:
        return str(Kind(self.kind).label)

    @property
    def columns(self) -> str:
        return in_words(self.kind)

    @property
    def column_names(self) -> list[str]:
        """All columns, those that may be left out too."""
        return [name.strip("[]") for name in COLUMNS[self.kind]]

    @property
    def unit(self) -> str:
        """What readings are in; blank where any unit will do."""
        return UNIT_OF.get(self.kind, "") or self.limits.unit(self.analyte)

    @property
    def asks(self) -> list[str]:
        """Each limit in words."""
        kept = self.limits.of(self.kind, self.analyte)
        return [f"{limit.name}: {limit.words}" for limit in map(engine_limit, kept)]

    @property
    def samples(self) -> int:
        """The most readings that one of the limits asks for."""
        kept = self.limits.of(self.kind, self.analyte)
        return max(map(samples_of, kept), default=1)

    @property
    def sources(self) -> list[str]:
        kept = self.limits.of(self.kind, self.analyte)
        return list(dict.fromkeys(limit["source"] for limit in kept))

    @property
    def cautions(self) -> tuple[Any, ...]:
        return (*CAUTIONS.get(self.kind, ()), DECIDES)


def options(sets: Iterable[LimitSet]) -> list[Option]:
    """Everything that can be verified by ``sets``: each kind, for each analyte apart.

    Limits in two units for the same readings are a mistake of the catalogue and left out.
    """
    return [
        Option(kind, limits, analyte)
        for limits in sets
        for kind in limits.kinds
        for analyte in limits.analytes or [""]
        if limits.of(kind, analyte) and len(limits.units(analyte)) <= 1
    ]
