"""What optics says of an aperture and a magnification, in words."""

from collections.abc import Iterator

from django.utils.translation import gettext

from apps.web.claimed_specs import Remark
from apps.web.figures import figures
from planner.engine.physics.optics import (
    GREEN_NM,
    abbe_um,
    rayleigh_um,
    useful_magnification,
    visible_um,
)


def optical_remarks(
    aperture: float | None, magnification: float | None, wavelength: float = GREEN_NM
) -> tuple[Remark, ...]:
    """What optics says of an aperture, a total magnification, and the two together."""
    return tuple(_optical(aperture, magnification, wavelength))


def _optical(
    aperture: float | None, magnification: float | None, wavelength: float
) -> Iterator[Remark]:
    if aperture is not None:
        yield Remark(
            "runs",
            gettext(
                "At %(wavelength)s nm an aperture of %(aperture)s tells two points apart from"
                " %(points)s µm on, and lines from %(lines)s µm on."
            )
            % {
                "wavelength": f"{wavelength:g}",
                "aperture": f"{aperture:g}",
                "points": f"{float(rayleigh_um(aperture, wavelength)):.2g}",
                "lines": f"{float(abbe_um(aperture, wavelength)):.2g}",
            },
        )
    if magnification is not None:
        yield Remark(
            "runs",
            gettext("At %(magnification)s× the eye makes out detail of %(detail)s µm.")
            % {
                "magnification": figures(magnification),
                "detail": f"{float(visible_um(magnification)):.2g}",
            },
        )
    if aperture is not None and magnification is not None:
        yield _usefulness(aperture, magnification)


def _usefulness(aperture: float, magnification: float) -> Remark:
    least, most = (float(end) for end in useful_magnification(aperture))
    words = {
        "magnification": figures(magnification),
        "least": figures(least),
        "most": figures(most),
    }
    if magnification > most:
        return Remark(
            "blocked",
            gettext(
                "%(magnification)s× is empty: with this aperture nothing more is seen above"
                " %(most)s×."
            )
            % words,
        )
    if magnification < least:
        return Remark(
            "unknown",
            gettext(
                "Below %(least)s× the eye misses detail that this aperture resolves;"
                " %(least)s to %(most)s× serve it."
            )
            % words,
        )
    return Remark(
        "runs", gettext("%(magnification)s× suits this aperture (%(least)s to %(most)s×).") % words
    )
