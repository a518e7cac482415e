"""What a drawing of force over radius is made of; lengths are units of the drawing."""

from dataclasses import dataclass

from apps.web.labels import Box

WIDTH, HEIGHT = 560.0, 436.0
LEFT, TOP, BOTTOM = 64.0, 26.0, 390.0
RIGHT = 400.0
LANE, BAR = 22.0, 15.0
LABEL, LETTER, MARK = 15.0, 8.0, 18.0


@dataclass(frozen=True)
class Band:
    """The force that a procedure needs, in g; ``None``: no limit on that side.

    ``verdict`` is how a claim stands to it: ``met``, ``not_met``, ``unknown``, or blank.
    """

    key: str
    low_g: float | None
    high_g: float | None
    verdict: str
    chosen: bool = False


@dataclass(frozen=True)
class Spot:
    """A claim on the drawing: ``kind`` is ``sound``, ``stated`` or ``follows``."""

    kind: str
    radius_cm: float
    rcf_g: float


@dataclass(frozen=True)
class Tick:
    at: float
    label: str


@dataclass(frozen=True)
class Line:
    """A curve of constant speed; ``anchor`` is where its label is held."""

    path: str
    label: str
    x: float
    y: float
    anchor: str
    claimed: bool = False

    @property
    def room(self) -> Box:
        """What the label covers."""
        width = LETTER * len(self.label)
        middle = self.x + width / 2 if self.anchor == "start" else self.x - width / 2
        return Box(middle, self.y - LABEL / 3, width, LABEL)


@dataclass(frozen=True)
class Bar:
    """A band as a bar in its lane, and across the plot."""

    band: Band
    x: float
    y: float
    height: float

    @property
    def middle(self) -> float:
        return self.x + BAR / 2


@dataclass(frozen=True)
class Mark:
    kind: str
    x: float
    y: float


@dataclass(frozen=True)
class SpinDrawing:
    """All that the template draws, in the units of ``view_box``."""

    view_box: str
    force_ticks: tuple[Tick, ...]
    radius_ticks: tuple[Tick, ...]
    lines: tuple[Line, ...]
    bars: tuple[Bar, ...]
    marks: tuple[Mark, ...]
    level: float | None
    left: float = LEFT
    right: float = RIGHT
    top: float = TOP
    bottom: float = BOTTOM
    bar_width: float = BAR
    end: float = WIDTH - 4

    @property
    def plot_width(self) -> float:
        return self.right - self.left

    @property
    def plot_height(self) -> float:
        return self.bottom - self.top
