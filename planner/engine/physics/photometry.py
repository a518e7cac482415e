"""Photometry: from light to concentration, and how wrong a cheap photometer may be."""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.physics.quantities import WAVELENGTH_NM, Quantity, Values

NADH_340_L_PER_MOL_CM = 6220.0
"""Molar absorptivity of NADH at 340 nm (Horecker and Kornberg 1948; seen in reference texts).
At 339 nm and 30 °C clinical reference methods use 6300 (from memory)."""

HICN_540_L_PER_MOL_CM = 11_000.0
"""Haemiglobincyanide at 540 nm, per monomer, that is per iron (ICSH; seen)."""

HAEMOGLOBIN_MONOMER_G_PER_MOL = 16_114.5
"""A quarter of 64 458 g/mol (ICSH; seen)."""

BANDWIDTH_LIMIT_NM = 20.0
"""Filter photometers for end-point chemistry: 20 nm or narrower (common practice, no source)."""

ABSORBANCE = Quantity("absorbance", "", 0, 6, "is this the transmittance in per cent?", False)
TRANSMITTANCE = Quantity("transmittance", "", 0, 1, "is this in per cent? Divide by 100")
ABSORPTIVITY = Quantity("molar absorptivity", "L/(mol·cm)", 0, 1e7)
MOL_PER_L = Quantity("concentration", "mol/L", 0, 100, "is this in mmol/L?", above_zero=False)
PATH_CM = Quantity("path", "cm", 0, 20, "is this in mm? Divide by 10")
DILUTION = Quantity("dilution", "", 1, 1e6, "is this a share? Take its inverse", above_zero=False)
BANDWIDTH_NM = Quantity("bandwidth", "nm", 0, 500)
VOLUME_UL = Quantity("volume", "µL", 0, 1e6)
RATE = Quantity("change of absorbance", "/min", 0, 10, above_zero=False)
DRIFT = Quantity("drift", "/h", 0, 5, above_zero=False)
SHIFT_NM = Quantity("wavelength error", "nm", 0, 100, above_zero=False)


def transmittance(absorbance: ArrayLike) -> Values:
    """Share of the light that passes: T = 10^−A."""
    return np.power(10.0, -ABSORBANCE.values(absorbance))


def absorbance(transmitted_share: ArrayLike) -> Values:
    """Absorbance of a transmittance: A = −log₁₀ T."""
    # Adding zero turns the -0.0 of full transmittance into 0.
    return -np.log10(TRANSMITTANCE.values(transmitted_share)) + 0.0


def beer_lambert(
    absorptivity_l_mol_cm: ArrayLike, concentration_mol_l: ArrayLike, path_cm: ArrayLike = 1.0
) -> Values:
    """Absorbance of a dilute solution in parallel, monochromatic light: A = ε c l."""
    concentration = MOL_PER_L.values(concentration_mol_l)
    return ABSORPTIVITY.values(absorptivity_l_mol_cm) * concentration * PATH_CM.values(path_cm)


def concentration_mol_l(
    measured: ArrayLike, absorptivity_l_mol_cm: ArrayLike, path_cm: ArrayLike = 1.0
) -> Values:
    """Concentration in mol/L that gives an absorbance: c = A / (ε l)."""
    epsilon = ABSORPTIVITY.values(absorptivity_l_mol_cm)
    return ABSORBANCE.values(measured) / (epsilon * PATH_CM.values(path_cm))


def haemoglobin_g_dl(
    absorbance_540: ArrayLike, dilution: ArrayLike = 251.0, path_cm: ArrayLike = 1.0
) -> Values:
    """Haemoglobin of blood in g/dL by haemiglobincyanide: c M D / 10.

    20 µL of blood in 5 mL of reagent are a dilution of 251, for which ICSH prints
    367.7 g/L for each unit of absorbance at 540 nm and 1 cm.
    """
    molar = concentration_mol_l(absorbance_540, HICN_540_L_PER_MOL_CM, path_cm)
    return molar * HAEMOGLOBIN_MONOMER_G_PER_MOL * DILUTION.values(dilution) / 10


def enzyme_u_l(
    absorbance_per_min: ArrayLike,
    absorptivity_l_mol_cm: ArrayLike,
    total_ul: ArrayLike,
    sample_ul: ArrayLike,
    path_cm: ArrayLike = 1.0,
) -> Values:
    """Catalytic activity in U/L (µmol/min and litre of specimen): ΔA/min · V · 10⁶ / (ε v l).

    NaN where the specimen is not smaller than the whole.
    """
    total, sample = VOLUME_UL.values(total_ul), VOLUME_UL.values(sample_ul)
    fold = np.where(sample < total, total / sample, np.nan)
    epsilon = ABSORPTIVITY.values(absorptivity_l_mol_cm)
    return 1e6 * RATE.values(absorbance_per_min) * fold / (epsilon * PATH_CM.values(path_cm))


def nearest_offset_nm(wanted_nm: ArrayLike, available_nm: ArrayLike) -> Values:
    """Signed distance from each wanted wavelength to the nearest available one, in nm.

    The match is within tolerance where its absolute value is at most the tolerance (±5 nm in
    manual photometry). NaN where the wanted wavelength is not known, or none is available.
    """
    wanted = WAVELENGTH_NM.values(wanted_nm)
    available = np.atleast_1d(WAVELENGTH_NM.values(available_nm))
    known = available[~np.isnan(available)]
    if known.size == 0:
        return np.full(wanted.shape, np.nan)
    offsets = known - wanted[..., np.newaxis]
    nearest = np.abs(np.where(np.isnan(offsets), 0, offsets)).argmin(axis=-1)
    return np.take_along_axis(offsets, nearest[..., np.newaxis], axis=-1)[..., 0]
