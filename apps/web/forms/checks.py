"""What a visitor who has a claim in hand is asked about it. All of it may be left out."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from apps.web.claim_figures import DRIVES
from apps.web.forms.measures import ClaimForm, MeasureField
from planner.engine.physics.claimed import FORCE_N, ROTOR_RADIUS_CM
from planner.engine.physics.claims import Claim
from planner.engine.physics.quantities import MINUTES, POWER_W, RADIUS_CM, RCF_G, SPEED_RPM

UNSAID = ("", _("not stated"))
SPIN_QUANTITIES = {
    "speed_rpm": SPEED_RPM,
    "radius_cm": RADIUS_CM,
    "rcf_g": RCF_G,
    "power_w": POWER_W,
    "rotor_radius_cm": ROTOR_RADIUS_CM,
    "minutes": MINUTES,
    "force_n": FORCE_N,
}


class SpinForm(ClaimForm):
    """A claim about a centrifuge."""

    quantities = SPIN_QUANTITIES

    speed_rpm = MeasureField(label=_("Speed"), help_text=_("Revolutions a minute."))
    radius_cm = MeasureField(label=_("Radius"), help_text=_("From the axis, in centimetres."))
    radius_kind = forms.ChoiceField(
        label=_("Radius to where?"),
        required=False,
        choices=[
            UNSAID,
            ("r_max", _("tip of the tube, r max")),
            ("r_av", _("middle of the tube, r av")),
            ("r_min", _("surface of the liquid, r min")),
        ],
    )
    rcf_g = MeasureField(
        label=_("Relative centrifugal force"),
        help_text=_("In multiples of g."),
    )
    minutes = MeasureField(label=_("Time it runs"), help_text=_("One run without a pause."))
    drive = forms.ChoiceField(
        label=_("Driven by"),
        required=False,
        choices=[UNSAID, *DRIVES.items()],
    )
    rotor = forms.ChoiceField(
        label=_("What it spins"),
        required=False,
        choices=[
            ("tube", _("tubes")),
            ("capillary", _("capillaries")),
            ("disc", _("a disc")),
        ],
        help_text=_("Decides which radii are usual."),
    )
    rotor_radius_cm = MeasureField(
        label=_("Radius of the whole rotor"),
        help_text=_("To its outermost point. Blank: as far as the radius above."),
    )
    material = forms.ChoiceField(
        label=_("Rotor made of"),
        required=False,
        choices=[
            UNSAID,
            ("polymer", _("paper or plastic, printed or moulded")),
            ("metal", _("metal")),
        ],
    )
    power_w = MeasureField(label=_("Power that drives the rotor"), help_text=_("In watts."))
    force_n = MeasureField(
        label=_("Force in newtons"),
        help_text=_("Only where the claim gives newtons in place of g."),
    )
    procedure = forms.ChoiceField(
        label=_("For which method?"),
        required=False,
        help_text=_("Blank: all methods of the catalogue that spin something."),
    )

    def __init__(self, *args, procedures: Iterable[Any], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["procedure"].choices = [("", _("any")), *procedures]

    @property
    def has_more(self) -> bool:
        """Whether something is said, or wrong, in the part that is folded away at first."""
        folded = ("rotor_radius_cm", "material", "power_w", "force_n")
        return any(self.data.get(name) or self.has_error(name) for name in folded)

    def claim(self) -> Claim:
        """What is said, as the engine takes it; of a form that says something."""
        given = self.cleaned_data
        words = {name: given[name] or None for name in ("radius_kind", "drive", "material")}
        return Claim(**self.figures(), **words, rotor=given["rotor"] or "tube")
