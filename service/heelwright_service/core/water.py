"""The density of the water alongside: hydrometers, air and vacuum, and stratified samples.

Displacement is the density in vacuum (mass by volume) times the immersed volume. Two hydrometers look alike and read
differently: the load-line type shows a relative density (in vacuum), the draught-survey type an apparent density
(weight in air by volume). The type stamped on the glass decides; a reading is never taken for the other sort.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .errors import CoreError
from .record import Glass, ProbeSample, Water, WaterSample
from .sea_water import density_at_absolute_salinity_t_per_m3, sea_water_density_t_per_m3

CONVENTIONAL_AIR_T_PER_M3 = 0.0012
"""Air of conventional weighing: 1.2 kg/m³ (OIML D 28:2004)."""

CONVENTIONAL_WEIGHTS_T_PER_M3 = 8.0
"""Weights of conventional weighing: 8000 kg/m³ (OIML D 28:2004)."""

SPREAD_THAT_MATTERS_T_PER_M3 = 0.002
"""Samples that differ by more draw a caution (office default)."""

_READABLE_T_PER_M3 = (0.95, 1.10)

Hydrometer = Glass
"""A hydrometer as its glass is stamped, on its own or as part of a sample."""


@dataclass(frozen=True)
class WaterDensity:
    """What the samples say: density in vacuum, how far they spread, how they were weighted."""

    density_t_per_m3: float
    spread_t_per_m3: float
    spread_matters: bool
    weighting: Literal["plain mean", "depth cells"]
    weights: tuple[float, ...]


def vacuum_from_air_t_per_m3(apparent_density_t_per_m3: float) -> float:
    """Turn an apparent density (weight in air by volume) into the density in vacuum (mass by volume).

    Parameters
    ----------
    apparent_density_t_per_m3 : float
        Apparent density in air [t/m³ or kg/l].

    Returns
    -------
    float
        `ρ = ρ_app·(1 − ρ_a/ρ_w) + ρ_a` [t/m³], about 0.00105 more in sea water.

    Notes
    -----
    A volume V balances weights of mass m where `V·(ρ − ρ_a) = m·(1 − ρ_a/ρ_w)`, and the apparent density is m/V;
    air 1.2 and weights 8000 kg/m³ by the convention of OIML D 28:2004. Draught survey practice rounds to 0.0011.

    Examples
    --------
    >>> round(vacuum_from_air_t_per_m3(1.0240), 6)
    1.025046
    """
    _refuse_unreadable(apparent_density_t_per_m3, "apparent_density_t_per_m3")
    buoyed = 1.0 - CONVENTIONAL_AIR_T_PER_M3 / CONVENTIONAL_WEIGHTS_T_PER_M3
    return apparent_density_t_per_m3 * buoyed + CONVENTIONAL_AIR_T_PER_M3


def air_from_vacuum_t_per_m3(density_t_per_m3: float) -> float:
    """Turn a density in vacuum into the apparent density in air.

    Parameters
    ----------
    density_t_per_m3 : float
        Density in vacuum [t/m³].

    Returns
    -------
    float
        Apparent density, the inverse of `vacuum_from_air_t_per_m3` [t/m³].

    Examples
    --------
    >>> round(air_from_vacuum_t_per_m3(1.0250), 6)
    1.023954
    """
    _refuse_unreadable(density_t_per_m3, "density_t_per_m3")
    buoyed = 1.0 - CONVENTIONAL_AIR_T_PER_M3 / CONVENTIONAL_WEIGHTS_T_PER_M3
    return (density_t_per_m3 - CONVENTIONAL_AIR_T_PER_M3) / buoyed


def basis_mix_up_t(displacement_t: float, density_t_per_m3: float) -> float:
    """Return what a displacement loses when an apparent density is used as if it were one in vacuum.

    Parameters
    ----------
    displacement_t : float
        Displacement by the density in vacuum [t].
    density_t_per_m3 : float
        Density in vacuum [t/m³].

    Returns
    -------
    float
        `Δ·(1 − ρ_app/ρ)` [t], about 0.1 % of the displacement; the opposite mix-up gains about as much.

    Examples
    --------
    >>> round(basis_mix_up_t(12000.0, 1.025), 1)
    12.3
    """
    return displacement_t * (1.0 - air_from_vacuum_t_per_m3(density_t_per_m3) / density_t_per_m3)


def hydrometer_density_t_per_m3(reading: float, hydrometer: Hydrometer, temperature_c: float | None = None) -> float:
    """Turn a hydrometer reading into the density in vacuum of the water it floats in.

    Parameters
    ----------
    reading : float
        Reading at the level surface, instrument correction applied; relative density, or kg/l.
    hydrometer : Hydrometer
        The type stamped on the glass.
    temperature_c : float, optional
        Temperature of the water when read; without it the glass is taken to be at its calibration temperature [°C].

    Returns
    -------
    float
        Density in vacuum at the temperature of the reading [t/m³].

    Raises
    ------
    CoreError
        ``reading-out-of-range`` (a reading in kg/m³ is not guessed), ``reference-water-missing`` for a relative density
        without its reference temperature, ``temperature-outside-range``.

    Notes
    -----
    The floating mass is fixed, so the density is inverse to the glass's volume: `ρ = ρ_read/(1 + γ·(t − t_cal))`. A
    relative density is multiplied by the density of pure water at its reference temperature.

    Examples
    --------
    >>> glass = Hydrometer("apparent-density", calibrated_at_c=15.0)
    >>> round(hydrometer_density_t_per_m3(1.0240, glass, 25.0), 5)
    1.02479
    """
    _refuse_unreadable(reading, "reading")
    value = reading
    if hydrometer.kind == "relative-density":
        if hydrometer.reference_water_c is None:
            raise CoreError(
                "reference-water-missing",
                "A relative density refers to pure water at a stated temperature (4, 15 °C, 60 °F = 15.56 °C); "
                "give the second of the two temperatures on the glass.",
                "/hydrometer/reference_water_c",
            )
        value *= density_at_absolute_salinity_t_per_m3(0.0, hydrometer.reference_water_c)
    at = hydrometer.calibrated_at_c if temperature_c is None else temperature_c
    if not -2.0 <= at <= 40.0:
        raise CoreError(
            "temperature-outside-range", f"temperature_c is {at}; water is taken from -2 to 40 °C.", "/temperature_c"
        )
    value /= 1.0 + hydrometer.glass_expansion_per_c * (at - hydrometer.calibrated_at_c)
    return vacuum_from_air_t_per_m3(value) if hydrometer.kind == "apparent-density" else value


def depth_cell_weights(depths_m: Sequence[float], draught_m: float) -> NDArray[np.float64]:
    """Return the share of the draught that each sample stands for.

    Parameters
    ----------
    depths_m : sequence of float, shape (n,)
        Depths of the samples below the surface [m].
    draught_m : float
        Mean draught [m].

    Returns
    -------
    ndarray, shape (n,)
        Weights that add up to 1: cells end half-way between neighbouring depths, at the surface and at the keel;
        samples of the same depth share their cell.

    Raises
    ------
    CoreError
        ``not-positive`` draught, ``depth-negative``.

    Notes
    -----
    Common practice; right for a ship whose waterplane area changes little with the draught.

    Examples
    --------
    >>> depth_cell_weights([1.0, 3.0, 5.0], 6.0).tolist()
    [0.3333333333333333, 0.3333333333333333, 0.3333333333333333]
    """
    depths = np.asarray(depths_m, dtype=float)
    if not draught_m > 0.0:
        raise CoreError("not-positive", f"draught_m is {draught_m}; it must be above zero.", "/draught_m")
    if np.any(depths < 0.0):
        raise CoreError("depth-negative", "A sample's depth is measured downwards and cannot be negative.", "/depth_m")
    levels, index, counts = np.unique(depths, return_inverse=True, return_counts=True)
    edges = np.clip(np.concatenate([[0.0], 0.5 * (levels[:-1] + levels[1:]), [np.inf]]), 0.0, draught_m)
    shares: NDArray[np.float64] = (np.diff(edges) / counts / draught_m)[index]
    return shares


def summarise_water(water: Water, draught_m: float | None = None) -> WaterDensity:
    """Reduce the samples of a test to one density in vacuum.

    Parameters
    ----------
    water : Water
        Samples and the basis of the glass they were read with.
    draught_m : float, optional
        Mean draught, needed for depth cells [m].

    Returns
    -------
    WaterDensity
        The mean: by depth cells when every sample has a depth, the depths differ and a draught is given, else plain.

    Raises
    ------
    CoreError
        ``no-water-samples``, and those of `densities_in_vacuum_t_per_m3`.

    Examples
    --------
    >>> from heelwright_service.core.record import Water, WaterSample
    >>> samples = [WaterSample(1.010, depth_m=0.5), WaterSample(1.020, depth_m=2.5)]
    >>> round(summarise_water(Water(samples), 4.0).density_t_per_m3, 5)
    1.01625
    """
    values = densities_in_vacuum_t_per_m3(water)
    if not values:
        raise CoreError("no-water-samples", "At least one sample of the water's density is needed.", "/water/samples")
    every: list[WaterSample | ProbeSample] = [*water.samples, *water.probe_samples]
    depths = [sample.depth_m for sample in every if sample.depth_m is not None]
    by_depth = draught_m is not None and len(depths) == len(values) and len(set(depths)) > 1
    plain = np.full(len(values), 1.0 / len(values))
    weights = depth_cell_weights(depths, draught_m) if by_depth and draught_m is not None else plain
    spread = max(values) - min(values)
    return WaterDensity(
        density_t_per_m3=float(weights @ np.asarray(values)),
        spread_t_per_m3=spread,
        spread_matters=spread > SPREAD_THAT_MATTERS_T_PER_M3 * (1.0 + 1e-9),
        weighting="depth cells" if by_depth else "plain mean",
        weights=tuple(weights.tolist()),
    )


def densities_in_vacuum_t_per_m3(water: Water) -> list[float]:
    """Return the density in vacuum that each sample stands for.

    Parameters
    ----------
    water : Water
        Samples and the basis of the glass they were read with.

    Returns
    -------
    list of float
        Hydrometer samples first, then those of a probe [t/m³]. A sample with its glass described is a reading on that
        glass, corrected for its temperature; salinity and temperature give the density by TEOS-10.

    Raises
    ------
    CoreError
        ``reading-out-of-range``; ``density-basis-contradicts-glass`` where readings are said to be in air and the glass
        shows a density in vacuum; those of `hydrometer_density_t_per_m3` and `sea_water_density_t_per_m3`.

    Examples
    --------
    >>> from heelwright_service.core.record import Water, WaterSample
    >>> warm = WaterSample(1.024, temperature_c=25.0, glass=Glass("apparent-density"))
    >>> [round(value, 5) for value in densities_in_vacuum_t_per_m3(Water([warm]))]
    [1.02479]
    """
    values = [_sample_density(water, i) for i in range(len(water.samples))]
    for i, probe in enumerate(water.probe_samples):
        try:
            values.append(sea_water_density_t_per_m3(probe.practical_salinity, probe.temperature_c))
        except CoreError as error:
            name = {"salinity-outside-range": "practical_salinity"}.get(error.code, "temperature_c")
            raise CoreError(error.code, error.message, f"/water/probe_samples/{i}/{name}") from None
    return values


def _sample_density(water: Water, i: int) -> float:
    sample, pointer = water.samples[i], f"/water/samples/{i}"
    _refuse_unreadable(sample.density_t_per_m3, f"{pointer[1:]}/density_t_per_m3")
    if sample.glass is None:
        in_air = water.density_basis == "air"
        return vacuum_from_air_t_per_m3(sample.density_t_per_m3) if in_air else sample.density_t_per_m3
    if water.density_basis == "air" and sample.glass.kind != "apparent-density":
        raise CoreError(
            "density-basis-contradicts-glass",
            f"The samples are said to be densities in air, but this glass shows a {sample.glass.kind.replace('-', ' ')}"
            " in vacuum; leave density_basis out where the glass is described.",
            f"{pointer}/glass/kind",
        )
    try:
        return hydrometer_density_t_per_m3(sample.density_t_per_m3, sample.glass, sample.temperature_c)
    except CoreError as error:
        place = f"{pointer}/glass/reference_water_c" if "reference" in error.code else f"{pointer}/temperature_c"
        raise CoreError(error.code, error.message, place) from None


def _refuse_unreadable(value: float, name: str) -> None:
    low, high = _READABLE_T_PER_M3
    if not low <= value <= high:
        raise CoreError(
            "reading-out-of-range",
            f"{value} is no density of water in t/m³ (kg/l); {low} to {high} is allowed. A reading in kg/m³ is to be "
            "divided by 1000 first.",
            f"/{name}",
        )
