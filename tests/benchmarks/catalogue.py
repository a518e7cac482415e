"""Device classes for invented cases: ladders of grades with prices, hours and upkeep.

Prices, hours and grades are of the order common for such devices (common practice, no
source); no model stands for one on the market.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Rung:
    """One grade of a device class: what it reaches, its price, and its usable hours a year."""

    reach: float
    price: float
    hours_per_year: float


@dataclass(frozen=True)
class Ladder:
    """A device class: the attribute that grades it, its rungs from the lowest, its demands.

    ``skill`` and ``infrastructure`` are what methods on its higher rungs ask for; ``hours``
    is machine time per test; ``share`` is how often a test relies on this class.
    """

    device_class: str
    attribute: str
    rungs: tuple[Rung, ...]
    skill: str | None
    infrastructure: str | None
    hours: float
    share: float


LADDERS = (
    Ladder("microscope", "magnification",
           (Rung(400, 260, 1400), Rung(1000, 780, 1500), Rung(1500, 2900, 1700)),
           "microscopy", None, 0.20, 5),
    Ladder("centrifuge", "rcf_g",
           (Rung(520, 160, 600), Rung(2000, 1150, 1500), Rung(4000, 3200, 1800)),
           "spinning", "power", 0.05, 2),
    Ladder("haematocrit-centrifuge", "rcf_g",
           (Rung(10200, 45, 500), Rung(12000, 1150, 1500)),
           "spinning", None, 0.08, 1),
    Ladder("haemoglobinometer", "wavelengths",
           (Rung(1, 90, 900), Rung(2, 320, 1600)),
           None, None, 0.05, 1),
    Ladder("photometer", "wavelengths",
           (Rung(4, 900, 1200), Rung(8, 2600, 1500), Rung(16, 9800, 1900)),
           "chemistry", "power", 0.06, 5),
    Ladder("cell-counter", "populations",
           (Rung(3, 6800, 1700), Rung(5, 21000, 1900)),
           "haematology", "clean-power", 0.05, 2),
    Ladder("incubator", "stability_hours",
           (Rung(24, 650, 8000), Rung(72, 1700, 8200)),
           "culture", "power", 0.0, 2),
    Ladder("autoclave", "chamber_l",
           (Rung(9, 420, 1200), Rung(23, 1500, 1400)),
           None, "water", 0.02, 1),
    Ladder("strip-reader", "channels",
           (Rung(1, 180, 1500), Rung(11, 540, 1600)),
           None, None, 0.03, 3),
    Ladder("immunoreader", "channels",
           (Rung(1, 1400, 1400), Rung(96, 5600, 1700)),
           "immunology", "power", 0.06, 3),
    Ladder("amplifier", "targets",
           (Rung(1, 7500, 1500), Rung(4, 17500, 1700)),
           "molecular", "clean-power", 0.25, 2),
    Ladder("electrolyte-meter", "ions",
           (Rung(1, 700, 1300), Rung(3, 3900, 1600)),
           "chemistry", "power", 0.04, 1),
    Ladder("cold-box", "hold_days",
           (Rung(2, 240, 8700), Rung(7, 1300, 8700)),
           None, None, 0.0, 0),
)  # fmt: skip

# Models that serve two classes: (class, reach), (class, reach), price, hours a year.
TWO_CLASS_MODELS = (
    (("centrifuge", 2000), ("haematocrit-centrifuge", 12000), 1900, 1400),
    (("photometer", 4), ("immunoreader", 1), 2300, 1300),
    (("strip-reader", 11), ("haemoglobinometer", 2), 790, 1500),
    (("photometer", 8), ("electrolyte-meter", 3), 5900, 1500),
)

SKILLS = {  # training cost, trainer days, supervision cost a year
    "microscopy": (450, 5, 60),
    "spinning": (80, 1, 20),
    "chemistry": (520, 6, 90),
    "haematology": (380, 4, 80),
    "culture": (900, 10, 150),
    "immunology": (340, 4, 70),
    "molecular": (760, 8, 140),
}

INFRASTRUCTURE = {  # level → cost; a level left out cannot be given it
    "power": {"1": 1400, "2": 900, "3": 500},
    "clean-power": {"2": 2600, "3": 1500},
    "water": {"1": 800, "2": 500, "3": 300},
}

AUXILIARY = ("centrifuge", "cold-box", "autoclave")
