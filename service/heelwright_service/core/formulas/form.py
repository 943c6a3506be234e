"""Ratios of a hull's form."""

from __future__ import annotations

from ..errors import CoreError
from .guards import require_positive


def metacentric_radius_m(second_moment_m4: float, volume_m3: float) -> float:
    """Return the distance from the centre of buoyancy to the metacentre.

    Parameters
    ----------
    second_moment_m4 : float
        Second moment of the waterplane about the axis of the inclination, through its centroid [m⁴].
    volume_m3 : float
        Immersed volume [m³].

    Returns
    -------
    float
        `BM = I/V` [m].

    Raises
    ------
    CoreError
        ``not-positive`` for the volume.

    Notes
    -----
    Bouguer's metacentre; any textbook of naval architecture.

    Examples
    --------
    >>> metacentric_radius_m(8000.0, 3200.0)
    2.5
    """
    require_positive("volume_m3", volume_m3)
    return second_moment_m4 / volume_m3


def block_coefficient(volume_m3: float, length_m: float, breadth_m: float, draught_m: float) -> float:
    """Return the part of the enclosing box that the immersed hull fills.

    Parameters
    ----------
    volume_m3 : float
        Immersed volume [m³].
    length_m, breadth_m, draught_m : float
        Sides of the box [m].

    Returns
    -------
    float
        `C_B = V/(L·B·T)` [-].

    Raises
    ------
    CoreError
        ``not-positive`` for a side of the box; ``block-coefficient-above-one`` when the box cannot hold the volume.

    Examples
    --------
    >>> block_coefficient(2100.0, 60.0, 10.0, 5.0)
    0.7
    """
    for name, side in (("length_m", length_m), ("breadth_m", breadth_m), ("draught_m", draught_m)):
        require_positive(name, side)
    coefficient = volume_m3 / (length_m * breadth_m * draught_m)
    if coefficient > 1.0 + 1e-9:
        raise CoreError(
            "block-coefficient-above-one",
            f"{volume_m3} m³ does not fit into {length_m} × {breadth_m} × {draught_m} m; one of the four is wrong.",
            "/volume_m3",
        )
    return coefficient
