"""A way of spinning: what is accepted, what its source states, and how a claim stands to it."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.web.sourced import Ask
from apps.web.spin_points import LEAST, MOST, Point, span
from planner.engine.matching import Verdict


@dataclass(frozen=True)
class Spin:
    """A procedure with the methods that ask the same of it, and how a claim stands to it.

    ``low_g`` and ``high_g`` are the accepted band of force at r_max and ``minutes`` the time;
    ``None`` where the catalogue sets no limit. ``also`` is what the claim does not speak of.
    """

    key: str
    procedure: Any
    methods: tuple[Any, ...]
    low_g: float | None
    high_g: float | None
    minutes: float | None
    by_motor: bool
    asked: tuple[Ask, ...]
    also: tuple[Ask, ...]
    points: tuple[Point, ...] = ()
    chosen: bool = False

    @property
    def verdict(self) -> Verdict:
        return min((point.verdict for point in self.points), default=Verdict.UNKNOWN)

    @property
    def why(self) -> list[str]:
        """What speaks against it; where nothing does, what speaks for it."""
        short = [point.text for point in self.points if point.verdict is not Verdict.MET]
        worst = [point.text for point in self.points if point.verdict is self.verdict]
        return worst if self.verdict is Verdict.NOT_MET else short or worst

    @property
    def time(self) -> str:
        """Minutes: those that the methods require, else those that the source states."""
        if self.minutes:
            return f"{self.minutes:g}"
        return span(self.procedure.minutes_low, self.procedure.minutes_high)

    @property
    def sources(self) -> tuple[Any, ...]:
        """Where the accepted force comes from: of each limit the source and kind, once each.

        A band that was widened round a published force is a planning default, and says so.
        """
        limits = [ask for ask in self.asked if ask.attribute.code in (MOST, LEAST)]
        return tuple({(ask.source.pk, ask.kind): ask for ask in limits}.values())

    @property
    def stated(self) -> str:
        """The force and time that the source itself states, before anything is widened."""
        row = self.procedure
        force = span(row.rcf_g_low, row.rcf_g_high)
        minutes = span(row.minutes_low, row.minutes_high)
        words = {"force": force, "minutes": minutes, "where": row.get_radius_display()}
        if not force:
            return gettext("%(minutes)s min, the force is not stated") % words
        return gettext("%(force)s g %(where)s, %(minutes)s min") % words

    @property
    def band(self) -> str:
        return span(self.low_g, self.high_g)
