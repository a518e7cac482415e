"""What a checked claim about a centrifuge amounts to, arranged for its page."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext, gettext_lazy

from apps.web.claim_figures import Figure, claim_figures
from apps.web.figures import figures
from apps.web.spin_drawing import draw_spin
from apps.web.spin_marks import Band, SpinDrawing, Spot
from apps.web.spin_points import UNTRUE
from apps.web.spin_ways import Spin
from apps.web.spins import judged
from planner.engine.matching import Verdict
from planner.engine.physics.claims import Claim, ClaimReport, claim_check
from planner.engine.physics.spin import rcf_g

LARGEST_DRAWN_CM = 50.0
SAYS = {
    "consistent": ("runs", gettext_lazy("The figures fit together; nothing speaks against them.")),
    "inconsistent": ("blocked", gettext_lazy("The claim contradicts itself.")),
    "implausible_by_hand": ("blocked", gettext_lazy("Hardly possible by hand.")),
    "unknown": ("unknown", gettext_lazy("Too little is known to tell.")),
}


@dataclass(frozen=True)
class Answer:
    """All that the page says about a claim."""

    report: ClaimReport
    state: str
    words: str
    figures: tuple[Figure, ...]
    spins: tuple[Spin, ...]
    drawing: SpinDrawing
    spots: tuple[Spot, ...]

    @property
    def described(self) -> str:
        """Where the claim lies on the drawing, in words."""
        words = {
            "sound": gettext("The claim lies at %(radius)s cm and %(force)s g."),
            "stated": gettext("The claimed force lies at %(radius)s cm and %(force)s g."),
            "follows": gettext("The claimed speed gives %(force)s g at %(radius)s cm."),
        }
        return " ".join(
            words[spot.kind] % {"radius": f"{spot.radius_cm:.3g}", "force": figures(spot.rcf_g)}
            for spot in self.spots
        )

    @property
    def chosen(self) -> tuple[Spin, ...]:
        return tuple(spin for spin in self.spins if spin.chosen)

    @property
    def summary(self) -> str:
        """How many spins it would do for, would not, and of how many it is not known."""
        if self.report.verdict in UNTRUE:
            return gettext("The claim cannot stand as it is, so nothing follows for any method.")
        count = Counter(spin.verdict for spin in self.spins)
        return gettext(
            "If the claim is true it would do for %(met)d of the %(all)d ways of spinning in the"
            " catalogue; for %(not_met)d it would not, and for %(unknown)d it is not known."
        ) % {
            "met": count[Verdict.MET],
            "all": len(self.spins),
            "not_met": count[Verdict.NOT_MET],
            "unknown": count[Verdict.UNKNOWN],
        }


def spin_answer(known: Iterable[Spin], claim: Claim, *, method: str = "") -> Answer:
    """The claim with its verdict, its figures, its drawing, and how it stands to each spin.

    Raises ``InputError`` for figures that cannot exist.
    """
    report = claim_check(claim)
    spins = tuple(judged(known, claim, report, method=method))
    state, words = SAYS[report.verdict]
    spots = _spots(claim, report)
    return Answer(
        report=report,
        state=state,
        words=str(words),
        figures=claim_figures(claim, report),
        spins=spins,
        drawing=draw_spin(
            drawn_bands(spins),
            spots,
            speed=report.speed_rpm,
            force=report.rcf_g,
        ),
        spots=spots,
    )


def drawn_bands(spins: Iterable[Spin]) -> list[Band]:
    """The spins that the catalogue gives a force for, ready to be drawn."""
    return [
        Band(spin.key, spin.low_g, spin.high_g, spin.verdict.name.lower(), spin.chosen)
        for spin in spins
        if spin.low_g is not None or spin.high_g is not None
    ]


def _spots(claim: Claim, report: ClaimReport) -> tuple[Spot, ...]:
    """Where the claim lies; where its figures disagree, also where its speed would put it."""
    radius, force = report.radius_cm, report.rcf_g
    if radius is None or force is None or radius > LARGEST_DRAWN_CM:
        return ()
    if report.implied or claim.speed_rpm is None or claim.radius_cm is None:
        return (Spot("sound", radius, force),)
    follows = float(rcf_g(claim.speed_rpm, claim.radius_cm))
    if any(reason.code == "figures_disagree" for reason in report.reasons):
        return (Spot("stated", radius, force), Spot("follows", radius, follows))
    return (Spot("sound", radius, force),)
