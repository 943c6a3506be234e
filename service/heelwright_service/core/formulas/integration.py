"""Simpson's first rule and the trapezoidal rule on ordinates, with levers and second moments.

The rules are in any textbook of naval architecture, such as Barrass and Derrett, Ship Stability for Masters and
Mates. They serve tables and checks; hull forms are integrated by their own, more accurate means.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..errors import CoreError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PlaneProperties:
    """A plane area given by ordinates: `i_x_m4` about the x axis, `i_y_m4` about its own centroid across x."""

    area_m2: float
    centroid_m: float
    i_x_m4: float
    i_y_m4: float
    i_y_at_origin_m4: float


def simpson_weights(x_m: ArrayLike) -> Array:
    """Return the weights of Simpson's first rule at the given stations.

    Parameters
    ----------
    x_m : array_like, shape (n,)
        Stations in rising order, n odd; taken in pairs, the two intervals of a pair are equal, so that end stations
        may stand at half the spacing [m].

    Returns
    -------
    ndarray, shape (n,)
        Weights w such that `Σ w·y` is the integral of y [m].

    Raises
    ------
    CoreError
        ``stations-unsuited`` for an even number of stations, fewer than three, or unequal intervals within a pair.

    Notes
    -----
    `∫ = h/3·(y₀ + 4·y₁ + y₂)` for each pair of intervals h; exact for cubics.

    Examples
    --------
    >>> simpson_weights([0.0, 3.0, 6.0]).tolist()
    [1.0, 4.0, 1.0]
    """
    stations = np.asarray(x_m, dtype=float)
    steps = np.diff(stations)
    if stations.ndim != 1 or stations.size < 3 or stations.size % 2 == 0 or np.any(steps <= 0.0):
        raise CoreError(
            "stations-unsuited",
            f"Simpson's first rule needs an odd number of stations, three or more, rising; found {stations.size}.",
            "/x_m",
        )
    if not np.allclose(steps[0::2], steps[1::2], rtol=1e-9, atol=0.0):
        raise CoreError(
            "stations-unsuited",
            "The two intervals of each pair must be equal; use the trapezoidal rule instead.",
            "/x_m",
        )
    weights = np.zeros(stations.size)
    for offset, factor in ((0, 1.0), (1, 4.0), (2, 1.0)):
        weights[offset : offset + 2 * steps[::2].size : 2] += factor * steps[::2] / 3.0
    return weights


def trapezoid_weights(x_m: ArrayLike) -> Array:
    """Return the weights of the trapezoidal rule at the given stations.

    Parameters
    ----------
    x_m : array_like, shape (n,)
        Stations in rising order, any spacing, two or more [m].

    Returns
    -------
    ndarray, shape (n,)
        Weights w such that `Σ w·y` is the integral of y [m].

    Raises
    ------
    CoreError
        ``stations-unsuited`` for fewer than two stations or stations out of order.

    Examples
    --------
    >>> trapezoid_weights([0.0, 1.0, 4.0]).tolist()
    [0.5, 2.0, 1.5]
    """
    stations = np.asarray(x_m, dtype=float)
    steps = np.diff(stations)
    if stations.ndim != 1 or stations.size < 2 or np.any(steps <= 0.0):
        raise CoreError("stations-unsuited", "The trapezoidal rule needs two or more stations in rising order.", "/x_m")
    weights = np.zeros(stations.size)
    weights[:-1] += 0.5 * steps
    weights[1:] += 0.5 * steps
    return weights


def integral_and_centroid(x_m: ArrayLike, values: ArrayLike) -> tuple[float, float]:
    """Integrate values over x by Simpson's first rule and find their centroid.

    Parameters
    ----------
    x_m : array_like, shape (n,)
        Stations, or draughts, as in `simpson_weights` [m].
    values : array_like, shape (n,)
        Breadths, sectional areas, or waterplane areas [m or m²].

    Returns
    -------
    tuple of float
        The integral (area or volume) [m² or m³] and its centroid along x [m].

    Raises
    ------
    CoreError
        ``stations-unsuited``; ``zero-divisor`` when the integral is zero.

    Examples
    --------
    >>> integral_and_centroid([0.0, 1.0, 2.0], [0.0, 1.0, 2.0])
    (2.0, 1.3333333333333333)
    """
    stations, ordinates, weights = _prepared(x_m, values)
    integral = float(weights @ ordinates)
    if integral == 0.0:
        raise CoreError("zero-divisor", "The values integrate to zero, so they have no centroid.", "/values")
    return integral, float(weights @ (ordinates * stations)) / integral


def waterplane_properties(x_m: ArrayLike, half_breadths_m: ArrayLike) -> PlaneProperties:
    """Return area, centroid and second moments of a waterplane symmetric about the centreline.

    Parameters
    ----------
    x_m : array_like, shape (n,)
        Stations as in `simpson_weights` [m].
    half_breadths_m : array_like, shape (n,)
        Half breadths [m].

    Returns
    -------
    PlaneProperties
        Area, centre of flotation, transverse second moment about the centreline, longitudinal ones about the
        centroid and about x = 0.

    Raises
    ------
    CoreError
        ``stations-unsuited``; ``zero-divisor`` for a waterplane without area.

    Notes
    -----
    `I_T = ⅔·∫y³dx`; `I_L = 2·∫y·x²dx − A·x̄²` (parallel axes).

    Examples
    --------
    >>> waterplane_properties([0.0, 5.0, 10.0], [3.0, 3.0, 3.0]).i_x_m4
    180.0
    """
    stations, half, weights = _prepared(x_m, half_breadths_m)
    area, centroid = integral_and_centroid(stations, 2.0 * half)
    at_origin = float(2.0 * weights @ (half * stations**2))
    return PlaneProperties(
        area_m2=area,
        centroid_m=centroid,
        i_x_m4=float(2.0 / 3.0 * weights @ half**3),
        i_y_m4=at_origin - area * centroid**2,
        i_y_at_origin_m4=at_origin,
    )


def _prepared(x_m: ArrayLike, values: ArrayLike) -> tuple[Array, Array, Array]:
    weights = simpson_weights(x_m)
    ordinates = np.asarray(values, dtype=float)
    if ordinates.shape != weights.shape:
        raise CoreError(
            "unequal-length", f"{weights.size} stations and {ordinates.size} values; give one for the other.", "/values"
        )
    return np.asarray(x_m, dtype=float), ordinates, weights
