"""What a visitor is asked about a microscope or a photometer. All of it may be left out."""

import re

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from apps.web.forms.choices import with_any
from apps.web.forms.measures import ClaimForm, MeasureField
from planner.engine.errors import InputError
from planner.engine.physics.features import FEATURES
from planner.engine.physics.optics import LENGTH_UM, MAGNIFICATION, NUMERICAL_APERTURE
from planner.engine.physics.photometry import ABSORBANCE, BANDWIDTH_NM, DRIFT
from planner.engine.physics.quantities import WAVELENGTH_NM, Quantity

PARTED = re.compile(r"[,;\s]+")
MICROSCOPE = {
    "magnification": MAGNIFICATION,
    "aperture": NUMERICAL_APERTURE,
    "wavelength_nm": WAVELENGTH_NM,
    "feature_um": LENGTH_UM,
}
PHOTOMETER = {
    "bandwidth_nm": BANDWIDTH_NM,
    "absorbance_max": ABSORBANCE,
    "drift_a_per_h": DRIFT,
    "stray_share": Quantity(
        "stray light", "%", 0, 100, "is this the transmittance?", above_zero=False
    ),
}


class MicroscopeForm(ClaimForm):
    """A claim about a microscope, and what is to be seen with it."""

    quantities = MICROSCOPE

    magnification = MeasureField(
        label=_("Total magnification"), help_text=_("Objective times eyepiece.")
    )
    aperture = MeasureField(
        label=_("Numerical aperture"), help_text=_("The number after the stroke on the barrel.")
    )
    wavelength_nm = MeasureField(
        label=_("Wavelength of the light"), help_text=_("Blank: green light, 550 nm.")
    )
    objective = forms.ChoiceField(
        label=_("Which objective is that?"),
        required=False,
        choices=[("", _("not stated")), ("40", _("40×, dry")), ("100", _("100×, oil"))],
    )
    feature = forms.ChoiceField(
        label=_("What is to be seen?"),
        required=False,
        choices=with_any((each.code, each.name) for each in FEATURES.values()),
    )
    feature_um = MeasureField(label=_("Or something of this width"), help_text=_("In micrometres."))


class PhotometerForm(ClaimForm):
    """A claim about a photometer."""

    quantities = PHOTOMETER

    wavelengths_nm = forms.CharField(
        label=_("Wavelengths"),
        required=False,
        max_length=200,
        help_text=_("One or several, for example 340, 505, 546."),
    )
    bandwidth_nm = MeasureField(
        label=_("Bandwidth"), help_text=_("Width of the band at half its height.")
    )
    absorbance_max = MeasureField(
        label=_("Greatest absorbance"), help_text=_("Up to which it reads true.")
    )
    drift_a_per_h = MeasureField(
        label=_("Drift"), help_text=_("Change of the absorbance of a blank in an hour.")
    )
    stray_share = MeasureField(
        label=_("Stray light"), help_text=_("Share of the light that is not of the band.")
    )

    def clean_wavelengths_nm(self) -> tuple[float, ...]:
        said = [part for part in PARTED.split(self.cleaned_data["wavelengths_nm"]) if part]
        try:
            wavelengths = tuple(sorted(float(part) for part in said))
        except ValueError as unread:
            raise ValidationError(
                gettext("Write wavelengths in nanometres, parted by commas: 340, 505, 546.")
            ) from unread
        try:
            WAVELENGTH_NM.values(wavelengths)
        except InputError as refusal:
            low, high = f"{WAVELENGTH_NM.lowest:g}", WAVELENGTH_NM.in_words(WAVELENGTH_NM.highest)
            raise ValidationError(
                gettext("A wavelength lies above %(low)s and at most at %(high)s. Is this in µm?")
                % {"low": low, "high": high}
            ) from refusal
        return wavelengths
