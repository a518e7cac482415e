"""How a device attribute and its values are said in words.

An attribute's name ends in its unit (``bandwidth_nm``); ``MEANINGS`` holds what the name
does not say. An attribute that is in neither is shown as it is written in the case.
"""

from planner.engine.conditions import Scalar, SpecValue
from planner.engine.meanings import MEANINGS
from planner.engine.physics.quantities import THIN

_UNITS = {
    "c": "°C",
    "cm": "cm",
    "d": "d",
    "deg": "°",
    "g": "g",
    "g_dl": "g/dL",
    "h": "h",
    "l": "L",
    "l_per_h": "L/h",
    "m_s": "m/s",
    "mg_l": "mg/L",
    "min": "min",
    "ml": "mL",
    "mm": "mm",
    "mmol_l": "mmol/L",
    "nm": "nm",
    "pct": "%",
    "per_h": "/h",
    "rpm": "rpm",
    "s": "s",
    "ul": "µL",
    "um": "µm",
    "us_cm": "µS/cm",
    "v": "V",
    "va": "VA",
    "w": "W",
    "wh": "Wh",
}
# Names whose last parts are not their unit, and the unit they do have.
_OTHER_UNITS = {
    "min_per_test": "min",
    "rcf_max": "g",
    "rcf_settable_min": "g",
}


def attribute_in_words(attribute: str) -> str:
    """``rcf_g (greatest relative centrifugal force)``; the bare name if it is not known."""
    meaning = MEANINGS.get(attribute)
    return f"{attribute} ({meaning})" if meaning else attribute


def number_in_words(value: float) -> str:
    """``12 000`` or ``0.65``: digits in threes, parted by narrow no-break spaces."""
    return f"{value:,.15g}".replace(",", THIN)


def value_in_words(attribute: str, value: SpecValue) -> str:
    """A specification or an operand with its unit: ``12 000 g``, ``570, 880 nm``, ``yes``."""
    if value == ():
        return "nothing"
    if isinstance(value, tuple):
        words, numeric = ", ".join(_plain(item) for item in value), _is_number(value[-1])
    else:
        words, numeric = _plain(value), _is_number(value)
    return with_unit(attribute, words) if numeric else words


def range_in_words(attribute: str, low: float, high: float) -> str:
    """``10 000–15 000 g``."""
    return with_unit(attribute, f"{number_in_words(low)}–{number_in_words(high)}")


def with_unit(attribute: str, words: str) -> str:
    """``words`` with the unit that the name of ``attribute`` ends in, if it is one."""
    unit = _unit_of(attribute)
    return f"{words}{THIN}{unit}" if unit else words


def _unit_of(attribute: str) -> str:
    parts = attribute.split("_")
    # The longest ending that is a unit, short of the whole name: ``inflow_m_s`` is in m/s.
    endings = ("_".join(parts[start:]) for start in range(1, len(parts)))
    written = next((_UNITS[ending] for ending in endings if ending in _UNITS), "")
    return _OTHER_UNITS.get(attribute, written)


def _plain(value: Scalar) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else number_in_words(value)


def _is_number(value: Scalar) -> bool:
    return not isinstance(value, bool | str)
