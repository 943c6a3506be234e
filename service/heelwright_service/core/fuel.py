"""The density of fuel and lubricating oil at the temperature in the tank.

The volume correction factor `exp(−α·ΔT·(1 + 0.8·α·ΔT))` with α from the density at 15 °C is the published equation
of API Manual of Petroleum Measurement Standards 11.1 and ASTM D 1250 (1980), tables 54B and 54D. The constants are in
many public programs; the licensed tables themselves were not seen, and round the factor to four decimals.
"""

from __future__ import annotations

import math
from typing import Literal

from scipy import optimize

from .errors import CoreError

Product = Literal["fuel", "lubricating-oil"]

WATER_AT_60F_T_PER_M3 = 0.999016
"""Pure water at 60 °F; older tables have 0.999012 (ASTM D 1250, from memory)."""

# Density at 15 °C up to (kg/m³), K0 and K1 of α = K0/ρ² + K1/ρ. Sources put the edges up to 1 kg/m³ apart;
# these are where the bands join best (a step below 0.00003 in the factor for 20 °C).
_FUEL_BANDS = ((770.5, 346.4228, 0.4388), (787.5, None, None), (838.5, 594.5418, 0.0), (1075.0, 186.9696, 0.4862))
_TRANSITION = (-0.00336312, 2680.3206)
_LUBRICATING_OIL_K1 = 0.6278  # from memory
_RANGE_15C_T_PER_M3 = {"fuel": (0.653, 1.075), "lubricating-oil": (0.800, 1.164)}
_RANGE_TEMPERATURE_C = (-18.0, 150.0)


def thermal_expansion_per_c(density_15c_t_per_m3: float, product: Product = "fuel") -> float:
    """Return the thermal expansion of an oil at 15 °C from its density.

    Parameters
    ----------
    density_15c_t_per_m3 : float
        Density at 15 °C, in vacuum [t/m³].
    product : {"fuel", "lubricating-oil"}
        Refined product (table 54B) or lubricating oil (table 54D).

    Returns
    -------
    float
        Coefficient α₁₅ [1/°C].

    Raises
    ------
    CoreError
        ``fuel-density-outside-range``.

    Notes
    -----
    `α = K₀/ρ² + K₁/ρ`, ρ in kg/m³, with K by band of density; between 770.5 and 787.5 kg/m³ `α = A + B/ρ²`.

    Examples
    --------
    >>> round(thermal_expansion_per_c(0.850), 7)
    0.0008308
    """
    low, high = _RANGE_15C_T_PER_M3[product]
    if not low <= density_15c_t_per_m3 <= high:
        raise CoreError(
            "fuel-density-outside-range",
            f"Density of {product} at 15 °C is {density_15c_t_per_m3} t/m³; the equation holds from {low} to {high}.",
            "/density_15c_t_per_m3",
        )
    rho = 1000.0 * density_15c_t_per_m3
    if product == "lubricating-oil":
        return _LUBRICATING_OIL_K1 / rho
    k0, k1 = next((k0, k1) for edge, k0, k1 in _FUEL_BANDS if rho <= edge + 1e-9)
    if k0 is None or k1 is None:
        return _TRANSITION[0] + _TRANSITION[1] / rho**2
    return k0 / rho**2 + k1 / rho


def volume_correction_factor(density_15c_t_per_m3: float, temperature_c: float, product: Product = "fuel") -> float:
    """Return the volume that an oil has at 15 °C over the volume it has in the tank.

    Parameters
    ----------
    density_15c_t_per_m3 : float
        Density at 15 °C, in vacuum [t/m³].
    temperature_c : float
        Temperature in the tank [°C].
    product : {"fuel", "lubricating-oil"}
        As in `thermal_expansion_per_c`.

    Returns
    -------
    float
        `exp(−α·ΔT·(1 + 0.8·α·ΔT))`, ΔT from 15 °C [-].

    Raises
    ------
    CoreError
        ``fuel-density-outside-range``, ``fuel-temperature-outside-range``.

    Examples
    --------
    >>> round(volume_correction_factor(0.850, 30.0), 4)
    0.9875
    """
    low, high = _RANGE_TEMPERATURE_C
    if not low <= temperature_c <= high:
        raise CoreError(
            "fuel-temperature-outside-range",
            f"The temperature is {temperature_c} °C; the equation holds from {low:g} to {high:g} °C.",
            "/temperature_c",
        )
    growth = thermal_expansion_per_c(density_15c_t_per_m3, product) * (temperature_c - 15.0)
    return math.exp(-growth * (1.0 + 0.8 * growth))


def density_at_temperature_t_per_m3(
    density_15c_t_per_m3: float, temperature_c: float, product: Product = "fuel"
) -> float:
    """Return the density of an oil at the temperature in the tank.

    Parameters
    ----------
    density_15c_t_per_m3, temperature_c, product
        As in `volume_correction_factor`.

    Returns
    -------
    float
        `ρ₁₅·VCF` [t/m³], in vacuum when ρ₁₅ is.

    Raises
    ------
    CoreError
        ``fuel-density-outside-range``, ``fuel-temperature-outside-range``.

    Examples
    --------
    >>> round(density_at_temperature_t_per_m3(0.991, 50.0), 5)
    0.96722
    """
    return density_15c_t_per_m3 * volume_correction_factor(density_15c_t_per_m3, temperature_c, product)


def density_at_15c_t_per_m3(density_t_per_m3: float, temperature_c: float, product: Product = "fuel") -> float:
    """Return the density at 15 °C of an oil measured at another temperature.

    Parameters
    ----------
    density_t_per_m3 : float
        Density measured, in vacuum [t/m³].
    temperature_c : float
        Temperature when measured [°C].
    product : {"fuel", "lubricating-oil"}
        As in `thermal_expansion_per_c`.

    Returns
    -------
    float
        Density at 15 °C [t/m³], the inverse of `density_at_temperature_t_per_m3`.

    Raises
    ------
    CoreError
        ``fuel-density-outside-range``, ``fuel-temperature-outside-range``.

    Examples
    --------
    >>> round(density_at_15c_t_per_m3(0.96722, 50.0), 4)
    0.991
    """
    low, high = _RANGE_15C_T_PER_M3[product]

    def excess(density_15c: float) -> float:
        return density_15c * volume_correction_factor(density_15c, temperature_c, product) - density_t_per_m3

    if excess(low) > 0.0 or excess(high) < 0.0:
        nearest = low if excess(low) > 0.0 else high
        outside = density_t_per_m3 / volume_correction_factor(nearest, temperature_c, product)
        thermal_expansion_per_c(outside, product)
        return outside
    return float(optimize.bisect(excess, low, high, xtol=1e-13))


def api_gravity(relative_density_60f: float) -> float:
    """Return the API gravity of an oil.

    Parameters
    ----------
    relative_density_60f : float
        Relative density 60/60 °F [-].

    Returns
    -------
    float
        `141.5/RD − 131.5` [°API].

    Raises
    ------
    CoreError
        ``not-positive``.

    Notes
    -----
    Definition by the American Petroleum Institute.

    Examples
    --------
    >>> api_gravity(1.0)
    10.0
    """
    if not relative_density_60f > 0.0:
        raise CoreError(
            "not-positive",
            f"relative_density_60f is {relative_density_60f}; it must be above zero.",
            "/relative_density_60f",
        )
    return 141.5 / relative_density_60f - 131.5


def density_at_60f_t_per_m3(gravity_api: float) -> float:
    """Return the density at 60 °F of an oil given by its API gravity.

    Parameters
    ----------
    gravity_api : float
        API gravity, above −131.5 [°API].

    Returns
    -------
    float
        `141.5/(API + 131.5)` times the density of water at 60 °F [t/m³].

    Raises
    ------
    CoreError
        ``api-gravity-too-low``.

    Examples
    --------
    >>> density_at_60f_t_per_m3(10.0)
    0.999016
    """
    if not gravity_api > -131.5:
        raise CoreError("api-gravity-too-low", f"{gravity_api} °API is below the end of the scale.", "/gravity_api")
    return 141.5 / (gravity_api + 131.5) * WATER_AT_60F_T_PER_M3
