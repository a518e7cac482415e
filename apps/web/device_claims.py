"""What physics says of a device model's figures, and the address where a check says it too."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from apps.web.claimed_specs import Remark
from apps.web.claims import SAYS
from apps.web.optics import optical_remarks
from apps.web.photometers import photometric_remarks
from planner.engine.errors import InputError
from planner.engine.physics.claims import Claim, ClaimReport, claim_check

CENTRIFUGE = "centrifuge"
CAPILLARY_ML = 0.075


@dataclass(frozen=True)
class SpinClaim:
    """What physics says of the model's figures; ``query`` is the same claim in an address."""

    state: str
    words: str
    report: ClaimReport
    query: str


@dataclass(frozen=True)
class LightClaim:
    """What optics or photometry says of the model's figures, and the page that says more."""

    remarks: tuple[Remark, ...]
    page: str
    query: str


def spin_claim(model: Any) -> tuple[SpinClaim | None, tuple[str, ...]]:
    """The check of a centrifuge's figures; beside it what the engine refuses, if anything."""
    if not any(each.device_class.code == CENTRIFUGE for each in model.served_classes.all()):
        return None, ()
    said = _said(_figures(model, CENTRIFUGE))
    try:
        report = claim_check(Claim(**said))
    except InputError as refusal:
        return None, refusal.problems
    state, words = SAYS[report.verdict]
    return SpinClaim(state, str(words), report, urlencode(said)), ()


def light_claims(model: Any) -> Iterator[LightClaim]:
    """Of a microscope and of a photometer what its figures come to, where it states any."""
    optics = _figures(model, "microscope")
    strongest = next((na for na in ("100", "40") if f"objective_na_{na}" in optics), "")
    said = {
        "magnification": optics.get("magnification_total"),
        "aperture": optics.get(f"objective_na_{strongest}"),
        "objective": strongest or None,
    }
    if remarks := optical_remarks(said["aperture"], said["magnification"]):
        yield LightClaim(remarks, "web:device-check-microscope", _query(said))
    photometry = _figures(model, "photometer")
    if remarks := photometric_remarks(photometry.get("bandwidth_nm"), None):
        names = ("bandwidth_nm", "absorbance_max", "drift_a_per_h")
        wavelengths = ",".join(f"{each:g}" for each in photometry.get("wavelengths_nm", ()))
        query = {"wavelengths_nm": wavelengths or None, **{n: photometry.get(n) for n in names}}
        yield LightClaim(remarks, "web:device-check-photometer", _query(query))


def _figures(model: Any, device_class: str) -> dict[str, Any]:
    """What the model states in one of its roles, by attribute."""
    return {
        each.attribute.code: each.value
        for each in model.specifications.all()
        if each.attribute.device_class.code == device_class
    }


def _query(said: Mapping[str, Any]) -> str:
    return urlencode({name: value for name, value in said.items() if value is not None})


def _said(figures: Mapping[str, Any]) -> dict[str, Any]:
    """What the specifications say, as a claim; what they do not say is left out."""
    by_hand = figures.get("motor_driven") is False
    said = {
        "radius_cm": figures.get("r_max_cm"),
        "radius_kind": "r_max" if "r_max_cm" in figures or "rcf_max_g" in figures else None,
        "rcf_g": figures.get("rcf_max_g"),
        "drive": "hand" if by_hand else None,
        "rotor": "capillary" if figures.get("tube_ml") == [CAPILLARY_ML] else None,
        "minutes": figures.get("continuous_run_min"),
        # Of a hand-driven device the power "drawn" is none, and says nothing of its rotor.
        "power_w": None if by_hand else figures.get("power_w"),
    }
    return {name: value for name, value in said.items() if value is not None}
