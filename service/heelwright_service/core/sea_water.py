"""The density of pure, brackish and sea water from its salinity and temperature.

TEOS-10 is the equation in force (IOC, SCOR and IAPSO 2010), by the GSW library; the 1980 equation stands beside it
because older tables follow it.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from .errors import CoreError

_REFERENCE_SALINITY_RATIO = 35.16504 / 35.0  # reference composition of sea water, TEOS-10
_LARGEST_SALINITY_G_PER_KG = 50.0
_T68_OVER_T90 = 1.00024  # Saunders 1990, from memory


def sea_water_density_t_per_m3(practical_salinity: float, temperature_c: float) -> float:
    """Return the density of sea water at the surface by TEOS-10.

    Parameters
    ----------
    practical_salinity : float
        Practical salinity (PSS-78) [-].
    temperature_c : float
        Temperature in place, ITS-90 [°C].

    Returns
    -------
    float
        Density in vacuum [t/m³].

    Raises
    ------
    CoreError
        ``salinity-outside-range``, ``temperature-outside-range``.

    Notes
    -----
    IOC, SCOR and IAPSO, The international thermodynamic equation of seawater 2010. Absolute salinity is taken as that
    of the reference composition, 35.16504/35 of the practical one; regional anomalies change the density by less than
    0.0001 t/m³ (from memory).

    Examples
    --------
    >>> round(sea_water_density_t_per_m3(35.0, 15.0), 6)
    1.025976
    """
    return density_at_absolute_salinity_t_per_m3(practical_salinity * _REFERENCE_SALINITY_RATIO, temperature_c)


def density_at_absolute_salinity_t_per_m3(
    absolute_salinity_g_per_kg: float, temperature_c: float, pressure_dbar: float = 0.0
) -> float:
    """Return the density of water of a given absolute salinity by TEOS-10.

    Parameters
    ----------
    absolute_salinity_g_per_kg : float
        Absolute salinity; 0 is pure water [g/kg].
    temperature_c : float
        Temperature in place, ITS-90 [°C].
    pressure_dbar : float
        Pressure above that at the surface; about the depth in metres [dbar].

    Returns
    -------
    float
        Density in vacuum [t/m³].

    Raises
    ------
    CoreError
        ``salinity-outside-range``, ``temperature-outside-range``.

    Examples
    --------
    >>> round(density_at_absolute_salinity_t_per_m3(0.0, 15.0), 6)
    0.999103
    """
    import gsw

    _refuse_outside("salinity-outside-range", "absolute_salinity_g_per_kg", absolute_salinity_g_per_kg, 0.0, 50.0)
    _refuse_outside("temperature-outside-range", "temperature_c", temperature_c, -2.0, 40.0)
    return float(gsw.rho_t_exact(absolute_salinity_g_per_kg, temperature_c, pressure_dbar)) / 1000.0


def density_at_conservative_temperature_t_per_m3(
    absolute_salinity_g_per_kg: float, conservative_temperature_c: float, pressure_dbar: float = 0.0
) -> float:
    """Return the density of sea water from the variables that a profiling probe's processing gives.

    Parameters
    ----------
    absolute_salinity_g_per_kg : float
        Absolute salinity [g/kg].
    conservative_temperature_c : float
        Conservative temperature [°C].
    pressure_dbar : float
        Pressure above that at the surface [dbar].

    Returns
    -------
    float
        Density in vacuum [t/m³].

    Raises
    ------
    CoreError
        ``salinity-outside-range``, ``temperature-outside-range``.

    Notes
    -----
    TEOS-10, the 75-term expression of specific volume (Roquet and others, Ocean Modelling 90, 2015, 29-43).

    Examples
    --------
    >>> round(density_at_conservative_temperature_t_per_m3(34.7118, 28.8099, 10.0), 6)
    1.02184
    """
    import gsw

    _refuse_outside("salinity-outside-range", "absolute_salinity_g_per_kg", absolute_salinity_g_per_kg, 0.0, 50.0)
    _refuse_outside("temperature-outside-range", "conservative_temperature_c", conservative_temperature_c, -2.0, 40.0)
    return float(gsw.rho(absolute_salinity_g_per_kg, conservative_temperature_c, pressure_dbar)) / 1000.0


def density_eos80_t_per_m3(practical_salinity: float, temperature_c: float) -> float:
    """Return the density of sea water at the surface by the 1980 equation of state, which older tables follow.

    Parameters
    ----------
    practical_salinity : float
        Practical salinity (PSS-78), 0 to 42 [-].
    temperature_c : float
        Temperature, ITS-90 [°C].

    Returns
    -------
    float
        Density in vacuum [t/m³].

    Raises
    ------
    CoreError
        ``salinity-outside-range``, ``temperature-outside-range``.

    Notes
    -----
    UNESCO Technical Papers in Marine Science 44 (1983), one-atmosphere equation of Millero and Poisson (1981);
    coefficients from memory, checked with the published check values. The equation is on the temperature scale of
    1968, `t₆₈ = 1.00024·t₉₀`.

    Examples
    --------
    >>> round(density_eos80_t_per_m3(35.0, 15.0), 5)
    1.02597
    """
    _refuse_outside("salinity-outside-range", "practical_salinity", practical_salinity, 0.0, 42.0)
    _refuse_outside("temperature-outside-range", "temperature_c", temperature_c, -2.0, 40.0)
    t, s = temperature_c * _T68_OVER_T90, practical_salinity
    pure = np.polyval([6.536332e-9, -1.120083e-6, 1.001685e-4, -9.095290e-3, 6.793952e-2, 999.842594], t)
    linear = np.polyval([5.3875e-9, -8.2467e-7, 7.6438e-5, -4.0899e-3, 8.24493e-1], t)
    root = np.polyval([-1.6546e-6, 1.0227e-4, -5.72466e-3], t)
    return float(pure + linear * s + root * s**1.5 + 4.8314e-4 * s**2) / 1000.0


def density_at_other_temperature_t_per_m3(density_t_per_m3: float, measured_c: float, in_place_c: float) -> float:
    """Carry a sample's density from the temperature at which it was read to that of the water in place.

    Parameters
    ----------
    density_t_per_m3 : float
        Density in vacuum at the temperature of the reading [t/m³].
    measured_c : float
        Temperature of the sample when read [°C].
    in_place_c : float
        Temperature of the water where the ship floats [°C].

    Returns
    -------
    float
        Density in vacuum in place [t/m³].

    Raises
    ------
    CoreError
        ``density-not-of-water`` for a density that no salinity gives, ``temperature-outside-range``.

    Notes
    -----
    The salinity that has the measured density (TEOS-10) is kept; water a little lighter than pure water is scaled with
    pure water's expansion. Not needed for a sample read on the spot.

    Examples
    --------
    >>> round(density_at_other_temperature_t_per_m3(1.0250, 20.0, 10.0), 5)
    1.02719
    """
    lightest = density_at_absolute_salinity_t_per_m3(0.0, measured_c)
    heaviest = density_at_absolute_salinity_t_per_m3(_LARGEST_SALINITY_G_PER_KG, measured_c)
    if not lightest - 0.003 <= density_t_per_m3 <= heaviest:
        raise CoreError(
            "density-not-of-water",
            f"Water of {measured_c} °C has {lightest:.4f} to {heaviest:.4f} t/m³; found {density_t_per_m3}.",
            "/density_t_per_m3",
        )
    salinity = 0.0
    if density_t_per_m3 > lightest:
        salinity = brentq(
            lambda s: density_at_absolute_salinity_t_per_m3(s, measured_c) - density_t_per_m3,
            0.0,
            _LARGEST_SALINITY_G_PER_KG,
            xtol=1e-10,
        )
    at_measured = density_at_absolute_salinity_t_per_m3(salinity, measured_c)
    return density_t_per_m3 * density_at_absolute_salinity_t_per_m3(salinity, in_place_c) / at_measured


def _refuse_outside(code: str, name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise CoreError(code, f"{name} is {value}; the equation holds from {low:g} to {high:g}.", f"/{name}")
