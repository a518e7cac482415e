"""A claim about a microscope: what it resolves, and what it can show."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext, gettext_lazy

from apps.web.claimed_specs import Remark, held_against
from apps.web.optics import optical_remarks
from apps.web.suits import Suits
from planner.engine.physics.features import FEATURES, Feature, Sight, sight
from planner.engine.physics.optics import GREEN_NM, rayleigh_um, visible_um

SIGHTS: dict[Sight, tuple[str, Any]] = {
    "resolved": ("runs", gettext_lazy("can be told apart")),
    "noticed": ("referred", gettext_lazy("can be noticed, not told apart")),
    "not_resolved": ("blocked", gettext_lazy("too small")),
    "unknown": ("unknown", gettext_lazy("unknown")),
}


@dataclass(frozen=True)
class Seen:
    """What a microscope makes of one thing; ``size`` is its width, and its length if another."""

    feature: Feature
    state: str
    words: str
    chosen: bool = False

    @property
    def size(self) -> str:
        width, length = (span_um(*ends) for ends in (self.feature.width_um, self.feature.length_um))
        return width if width == length else f"{width} × {length}"


@dataclass(frozen=True)
class MicroscopeAnswer:
    """``finest_um`` is what eye and optics resolve together; ``None`` where no aperture is said."""

    finest_um: str
    remarks: tuple[Remark, ...]
    seen: tuple[Seen, ...]
    methods: Suits
    settle: tuple[str, ...]


def span_um(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g}–{high:g}"


def microscope_answer(
    said: dict[str, float | None],
    *,
    objective: str,
    feature: str,
    methods: Iterable[Any],
) -> MicroscopeAnswer:
    """What a microscope with these figures resolves, and for which methods it would do."""
    magnification, aperture = said["magnification"], said["aperture"]
    wavelength = said["wavelength_nm"] or GREEN_NM
    optical = None if aperture is None else float(rayleigh_um(aperture, wavelength))
    by_eye = None if magnification is None else float(visible_um(magnification))
    finest = None if optical is None else max(optical, by_eye or 0.0)
    claimed = {
        "magnification_total": magnification,
        "objective_na_40": aperture if objective == "40" else None,
        "objective_na_100": aperture if objective == "100" else None,
    }
    return MicroscopeAnswer(
        finest_um="" if finest is None else f"{finest:.2g}",
        remarks=optical_remarks(aperture, magnification, wavelength),
        seen=tuple(_seen(finest, feature, said["feature_um"])),
        methods=held_against(methods, "microscope", claimed),
        settle=tuple(_settle_optics(aperture, magnification)),
    )


def _seen(finest: float | None, chosen: str, own_um: float | None) -> Iterator[Seen]:
    if own_um is not None:
        own = Feature("own", gettext("Your own size"), (own_um,) * 2, (own_um,) * 2, "")
        yield _one(own, finest, is_chosen=True)
    for feature in FEATURES.values():
        yield _one(feature, finest, is_chosen=feature.code == chosen)


def _one(feature: Feature, finest: float | None, *, is_chosen: bool) -> Seen:
    state, words = SIGHTS["unknown" if finest is None else sight(feature, finest)]
    return Seen(feature, state, str(words), is_chosen)


def _settle_optics(aperture: float | None, magnification: float | None) -> Iterator[str]:
    if aperture is None:
        yield gettext(
            "Read the numerical aperture on the objective, or photograph a resolution target and"
            " find the finest line pairs that are told apart. Without it no detail follows:"
            " magnification alone shows nothing."
        )
    if magnification is None:
        yield gettext("Multiply the engravings of objective and eyepiece.")
