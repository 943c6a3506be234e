"""Liquids that move in slack tanks: second moments of their surface and the loss of GM."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..errors import CoreError
from .guards import require_positive
from .integration import simpson_weights


@dataclass(frozen=True)
class SurfaceBesideBulkhead:
    """A liquid's surface between a straight longitudinal bulkhead and the ship's side."""

    area_m2: float
    centroid_from_bulkhead_m: float
    i_bulkhead_m4: float
    i_centroid_m4: float


def rectangle_second_moment_m4(length_m: float, breadth_m: float) -> float:
    """Return the transverse second moment of a rectangular surface about its own centreline.

    Parameters
    ----------
    length_m : float
        Along the ship [m].
    breadth_m : float
        Across the ship [m].

    Returns
    -------
    float
        `l·b³/12` [m⁴].

    Examples
    --------
    >>> rectangle_second_moment_m4(10.0, 6.0)
    180.0
    """
    require_positive("length_m", length_m)
    require_positive("breadth_m", breadth_m)
    return length_m * breadth_m**3 / 12.0


def surface_beside_bulkhead(x_m: ArrayLike, widths_m: ArrayLike) -> SurfaceBesideBulkhead:
    """Return the surface of a wing tank from its widths, by Simpson's first rule.

    Parameters
    ----------
    x_m : array_like, shape (n,)
        Stations along the tank, as in `integration.simpson_weights` [m].
    widths_m : array_like, shape (n,)
        Widths from the longitudinal bulkhead [m].

    Returns
    -------
    SurfaceBesideBulkhead
        Area, its centroid, and transverse second moments about the bulkhead and about the centroid.

    Raises
    ------
    CoreError
        ``stations-unsuited``, ``unequal-length``, ``zero-divisor`` for a surface without area.

    Notes
    -----
    `A = ∫w dx`, `ȳ = ½·∫w²dx/A`, `I = ⅓·∫w³dx`, and `I − A·ȳ²` about the centroid, which is what the free surface
    moment takes. Any textbook of naval architecture.

    Examples
    --------
    >>> round(surface_beside_bulkhead([0.0, 5.0, 10.0], [6.0, 6.0, 6.0]).i_centroid_m4, 9)
    180.0
    """
    weights, widths = simpson_weights(x_m), np.asarray(widths_m, dtype=float)
    if widths.shape != weights.shape:
        raise CoreError(
            "unequal-length", f"{weights.size} stations and {widths.size} widths; give one for the other.", "/widths_m"
        )
    area = float(weights @ widths)
    if area == 0.0:
        raise CoreError("zero-divisor", "The surface has no area.", "/widths_m")
    centroid = float(weights @ widths**2) / 2.0 / area
    at_bulkhead = float(weights @ widths**3) / 3.0
    return SurfaceBesideBulkhead(area, centroid, at_bulkhead, at_bulkhead - area * centroid**2)


def free_surface_moment_t_m(density_t_per_m3: float, second_moment_m4: float) -> float:
    """Return the free surface moment of one slack tank.

    Parameters
    ----------
    density_t_per_m3 : float
        Density of the liquid in the tank [t/m³].
    second_moment_m4 : float
        Transverse second moment of its surface about the surface's own centroid [m⁴].

    Returns
    -------
    float
        `ρ·i` [t·m].

    Examples
    --------
    >>> round(free_surface_moment_t_m(1.025, 180.0), 6)
    184.5
    """
    require_positive("density_t_per_m3", density_t_per_m3)
    return density_t_per_m3 * second_moment_m4


def free_surface_correction_m(moments_t_m: Iterable[float], displacement_t: float) -> float:
    """Return the loss of GM by free surfaces.

    Parameters
    ----------
    moments_t_m : iterable of float
        Free surface moments of all slack tanks [t·m].
    displacement_t : float
        Displacement [t].

    Returns
    -------
    float
        `ΣFSM/Δ` [m]: GM with the surfaces free is smaller than the solid GM by this much.

    Notes
    -----
    2008 IS Code, part B, chapter 3. The correction does not depend on where in the ship the tank is.

    Examples
    --------
    >>> free_surface_correction_m([184.5], 2500.0)
    0.0738
    """
    require_positive("displacement_t", displacement_t)
    return sum(moments_t_m) / displacement_t
