"""A claim about a photometer: what follows from it, and for which methods it would do."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.web.claimed_specs import Remark, held_against
from apps.web.suits import Suits
from planner.engine.physics.photometric_errors import with_stray_light
from planner.engine.physics.photometry import ABSORBANCE, BANDWIDTH_LIMIT_NM


@dataclass(frozen=True)
class PhotometerAnswer:
    remarks: tuple[Remark, ...]
    methods: Suits
    settle: tuple[str, ...]


def photometer_answer(
    wavelengths_nm: tuple[float, ...],
    said: dict[str, float | None],
    *,
    methods: Iterable[Any],
) -> PhotometerAnswer:
    """What follows from a photometer's figures, and for which methods it would do."""
    claimed = {
        "wavelengths_nm": wavelengths_nm or None,
        "bandwidth_nm": said["bandwidth_nm"],
        "absorbance_max": _true_range(said),
        "drift_a_per_h": said["drift_a_per_h"],
    }
    return PhotometerAnswer(
        remarks=photometric_remarks(
            said["bandwidth_nm"], said["absorbance_max"], said["stray_share"]
        ),
        methods=held_against(methods, "photometer", claimed),
        settle=tuple(_settle_light(wavelengths_nm, said)),
    )


def photometric_remarks(
    bandwidth_nm: float | None, absorbance_max: float | None, stray_pct: float | None = None
) -> tuple[Remark, ...]:
    """What photometry says of a bandwidth, and of a range in the presence of stray light."""
    band = () if bandwidth_nm is None else (_band(bandwidth_nm),)
    return band + ((_stray(stray_pct, absorbance_max),) if stray_pct else ())


def _band(bandwidth: float) -> Remark:
    words = {"bandwidth": f"{bandwidth:g}", "limit": f"{BANDWIDTH_LIMIT_NM:g}"}
    if bandwidth <= BANDWIDTH_LIMIT_NM:
        text = gettext("A band of %(bandwidth)s nm is narrow enough (at most %(limit)s nm).")
        return Remark("runs", text % words)
    text = gettext(
        "A band of %(bandwidth)s nm is wide (usual: at most %(limit)s nm): absorbance reads too"
        " low, and more so the higher it is."
    )
    return Remark("blocked", text % words)


def _stray(stray_pct: float, claimed: float | None) -> Remark:
    ceiling = _ceiling(stray_pct)
    words = {"stray": f"{stray_pct:g}", "ceiling": f"{ceiling:.2f}", "claimed": f"{claimed or 0:g}"}
    text = gettext("With %(stray)s %% of stray light nothing reads above %(ceiling)s.") % words
    if claimed is None or claimed <= ceiling:
        return Remark("runs", text)
    impossible = gettext("The claimed %(claimed)s is impossible.") % words
    return Remark("blocked", f"{text} {impossible}")


def _ceiling(stray_pct: float) -> float:
    """The absorbance that is read when nothing but stray light arrives."""
    return float(with_stray_light(ABSORBANCE.highest, stray_pct / 100))


def _true_range(said: dict[str, float | None]) -> float | None:
    """The claimed range, unless the stray light makes it impossible: then none is known."""
    claimed, stray = said["absorbance_max"], said["stray_share"]
    if claimed is not None and stray and claimed > _ceiling(stray):
        return None
    return claimed


def _settle_light(
    wavelengths_nm: tuple[float, ...], said: dict[str, float | None]
) -> Iterator[str]:
    if not wavelengths_nm:
        yield gettext("Read the filters or the data sheet; check with a holmium filter.")
    if said["bandwidth_nm"] is None:
        yield gettext("Read the bandwidth of the filters in the data sheet.")
    if said["absorbance_max"] is None or said["stray_share"] is None:
        yield gettext(
            "Measure a series of neutral-density filters and find where the reading leaves the"
            " line."
        )
    if said["drift_a_per_h"] is None:
        yield gettext("Read a blank for an hour after warming up.")
