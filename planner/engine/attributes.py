"""How a device attribute and its values are said in words.

An attribute's name ends in its unit (``bandwidth_nm``); the table holds what the name
does not say. An attribute that is in neither is shown as it is written in the case.
"""

from planner.engine.conditions import Scalar, SpecValue

THIN = "\N{NARROW NO-BREAK SPACE}"

_UNITS = {
    "g": "g",
    "nm": "nm",
    "um": "µm",
    "mm": "mm",
    "cm": "cm",
    "pct": "%",
    "ml": "mL",
    "ul": "µL",
    "s": "s",
    "min": "min",
    "h": "h",
    "c": "°C",
    "w": "W",
    "v": "V",
}
# Names whose last part is not their unit, and the unit they do have.
_OTHER_UNITS = {
    "rcf_max": "g",
    "rcf_settable_min": "g",
    "drift_a_per_h": "/h",
    "throughput_per_h": "/h",
}
_MEANINGS = {
    "absorbance_max": "greatest absorbance in the linear range",
    "analytes": "analytes it measures",
    "bandwidth_nm": "spectral bandwidth",
    "battery_h": "hours of work on battery",
    "bias_pct": "bias against a reference method",
    "capillaries": "capillaries in one run",
    "cell_temp_c": "temperature of the measuring cell",
    "continuous_run_min": "longest run without a pause",
    "cv_pct": "coefficient of variation",
    "drift_a_per_h": "drift of absorbance in an hour",
    "excitation_nm": "excitation wavelengths",
    "field_mm": "diameter of the field of view",
    "magnification": "total magnification",
    "magnification_total": "total magnification",
    "na": "numerical aperture",
    "objective_na_100": "numerical aperture of the 100× objective",
    "objective_na_40": "numerical aperture of the 40× objective",
    "operating_temp_c": "range of room temperature it works in",
    "power_w": "power drawn in use",
    "r_max_cm": "largest radius",
    "r_min_cm": "smallest radius",
    "rcf_g": "greatest relative centrifugal force",
    "rcf_max": "greatest relative centrifugal force",
    "rcf_settable_min": "smallest relative centrifugal force that can be set",
    "resolution_um": "finest detail it resolves",
    "set_temp_c": "range of temperature it can be set to",
    "specimen_types": "kinds of specimen it takes",
    "surge_w": "power drawn on starting",
    "temp_tolerance_c": "deviation from the set temperature",
    "throughput_per_h": "tests in an hour",
    "timer_max_min": "longest time that can be set",
    "tube_count": "tubes in one run",
    "tube_ml": "volumes of tube it takes",
    "tubes": "tubes in one run",
    "wavelengths_nm": "wavelengths it measures at",
}


def attribute_in_words(attribute: str) -> str:
    """``rcf_g (greatest relative centrifugal force)``; the bare name if it is not known."""
    meaning = _MEANINGS.get(attribute)
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
    unit = _OTHER_UNITS.get(attribute, _UNITS.get(attribute.rpartition("_")[2], ""))
    return f"{words}{THIN}{unit}" if unit and "_" in attribute else words


def _plain(value: Scalar) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else number_in_words(value)


def _is_number(value: Scalar) -> bool:
    return not isinstance(value, bool | str)
