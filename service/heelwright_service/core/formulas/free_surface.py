"""Liquids that move in slack tanks: second moments of their surface and the loss of GM."""

from __future__ import annotations

from collections.abc import Iterable

from .guards import require_positive


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
