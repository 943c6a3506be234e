"""A weight moved across the deck: GM from the heel, the heel from GM, and what pendulums show.

All small-angle forms rest on `w·d = Δ·GM·tan φ` (moment of the shift against the righting moment of a fixed
metacentre), which is in every textbook of ship stability, such as Barrass and Derrett, Ship Stability for Masters
and Mates, in the chapter on the inclining test, and in the 2008 IS Code, annex 1.
"""

from __future__ import annotations

import math

import numpy as np

from .guards import require_nonzero, require_positive


def shift_of_centre_m(weight_t: float, distance_m: float, displacement_t: float) -> float:
    """Return how far the ship's centre of gravity moves when a weight aboard is moved.

    Parameters
    ----------
    weight_t : float
        Mass moved [t].
    distance_m : float
        How far it is moved [m].
    displacement_t : float
        Displacement, the weight included [t].

    Returns
    -------
    float
        GG₁ `= w·d/Δ`, parallel to the move [m].

    Raises
    ------
    CoreError
        ``not-positive`` for the displacement.

    Examples
    --------
    >>> shift_of_centre_m(10.0, 20.0, 2000.0)
    0.1
    """
    require_positive("displacement_t", displacement_t)
    return weight_t * distance_m / displacement_t


def gm_from_shift_m(moment_t_m: float, tangent: float, displacement_t: float) -> float:
    """Return GM from one shift and the change of heel it made.

    Parameters
    ----------
    moment_t_m : float
        Mass moved times the distance across [t·m].
    tangent : float
        Tangent of the change of heel [-].
    displacement_t : float
        Displacement, weights included [t].

    Returns
    -------
    float
        `GM = w·d/(Δ·tan φ)` [m], free surfaces included.

    Raises
    ------
    CoreError
        ``zero-divisor`` without a heel, ``not-positive`` for the displacement.

    Examples
    --------
    >>> round(gm_from_shift_m(20.0 * 9.0, 0.230 / 3.0, 2500.0), 4)
    0.9391
    """
    require_nonzero("tangent", tangent)
    return shift_of_centre_m(1.0, moment_t_m, displacement_t) / tangent


def gm_from_slope_m(slope_per_t_m: float, displacement_t: float) -> float:
    """Return GM from the slope of tangent against moment.

    Parameters
    ----------
    slope_per_t_m : float
        Slope of the fitted line [1/(t·m)].
    displacement_t : float
        Displacement [t].

    Returns
    -------
    float
        `GM = 1/(b·Δ)` [m].

    Raises
    ------
    CoreError
        ``zero-divisor`` for a level line, ``not-positive`` for the displacement.

    Examples
    --------
    >>> round(gm_from_slope_m(4.210526e-4, 2500.0), 4)
    0.95
    """
    return gm_from_shift_m(1.0, slope_per_t_m, displacement_t)


def moment_for_heel_t_m(heel_deg: float, gm_m: float, displacement_t: float) -> float:
    """Return the moment that heels the ship by a given angle.

    Parameters
    ----------
    heel_deg : float
        Change of heel [°].
    gm_m : float
        GM, free surfaces included [m].
    displacement_t : float
        Displacement [t].

    Returns
    -------
    float
        `w·d = Δ·GM·tan φ` [t·m]; divided by a mass it is the distance, by a distance the mass.

    Examples
    --------
    >>> round(moment_for_heel_t_m(2.0, 0.95, 2500.0), 2)
    82.94
    """
    require_positive("displacement_t", displacement_t)
    return displacement_t * gm_m * math.tan(math.radians(heel_deg))


def heel_from_moment_deg(moment_t_m: float, gm_m: float, displacement_t: float) -> float:
    """Return the small-angle heel under a transverse moment.

    Parameters
    ----------
    moment_t_m : float
        Moment, to starboard positive [t·m].
    gm_m : float
        GM, free surfaces included; must be positive [m].
    displacement_t : float
        Displacement [t].

    Returns
    -------
    float
        `φ = arctan(w·d/(Δ·GM))`, to starboard positive [°].

    Raises
    ------
    CoreError
        ``not-positive`` for GM or displacement; for zero or negative GM use `heel_wall_sided_deg`.

    Examples
    --------
    >>> round(heel_from_moment_deg(1200.0, 2.0, 8000.0), 2)
    4.29
    """
    require_positive("gm_m", gm_m)
    return math.degrees(math.atan(shift_of_centre_m(1.0, moment_t_m, displacement_t) / gm_m))


def heel_wall_sided_deg(moment_t_m: float, gm_m: float, bm_m: float, displacement_t: float) -> float:
    """Return the heel of a wall-sided ship under a transverse moment, GM of any sign.

    Parameters
    ----------
    moment_t_m : float
        Moment, to starboard positive [t·m].
    gm_m : float
        GM, free surfaces included; zero and negative are allowed [m].
    bm_m : float
        Transverse metacentric radius `I_T/V` [m].
    displacement_t : float
        Displacement [t].

    Returns
    -------
    float
        The stable heel on the side of the moment (to starboard without one), to starboard positive [°].

    Raises
    ------
    CoreError
        ``not-positive`` for BM or displacement.

    Notes
    -----
    `Δ·sin φ·(GM + ½·BM·tan²φ) = w·d·cos φ`, so the tangent is the largest root of `½·BM·t³ + GM·t = w·d/Δ`.
    Wall-sided formula: Barrass and Derrett, Ship Stability for Masters and Mates. It holds to the angle at which
    the deck edge goes under or the bilge comes out.

    Examples
    --------
    >>> round(heel_wall_sided_deg(2.0 * 12.0, 0.0, 4.2, 12250.0), 2)
    5.58
    """
    require_positive("bm_m", bm_m)
    lever = shift_of_centre_m(1.0, abs(moment_t_m), displacement_t)
    roots = np.roots([0.5 * bm_m, 0.0, gm_m, -lever])
    real = roots.real[np.abs(roots.imag) <= 1e-7 * (1.0 + np.abs(roots.real))]
    return math.copysign(math.degrees(math.atan(float(real.max()))), moment_t_m)


def wall_sided_gz_m(heel_deg: float, gm_m: float, bm_m: float) -> float:
    """Return the righting lever of a wall-sided ship.

    Parameters
    ----------
    heel_deg : float
        Heel [°].
    gm_m, bm_m : float
        GM and metacentric radius, upright [m].

    Returns
    -------
    float
        `GZ = sin φ·(GM + ½·BM·tan²φ)` [m].

    Examples
    --------
    >>> round(wall_sided_gz_m(10.0, 0.5, 4.0), 4)
    0.0976
    """
    angle = math.radians(heel_deg)
    return math.sin(angle) * (gm_m + 0.5 * bm_m * math.tan(angle) ** 2)


def pendulum_deflection_m(length_m: float, heel_deg: float) -> float:
    """Return how far a pendulum moves along a batten square to it when the ship heels.

    Parameters
    ----------
    length_m : float
        Pivot to batten [m].
    heel_deg : float
        Change of heel [°].

    Returns
    -------
    float
        `δ = λ·tan φ`, to starboard positive [m].

    Examples
    --------
    >>> round(pendulum_deflection_m(6.0, 1.5), 4)
    0.1571
    """
    require_positive("length_m", length_m)
    return length_m * math.tan(math.radians(heel_deg))


def pendulum_length_m(deflection_m: float, heel_deg: float) -> float:
    """Return the pendulum that moves by a given deflection at a given heel.

    Parameters
    ----------
    deflection_m : float
        Deflection along the batten [m].
    heel_deg : float
        Change of heel, not zero [°].

    Returns
    -------
    float
        `λ = δ/tan φ` [m].

    Raises
    ------
    CoreError
        ``zero-divisor`` without a heel.

    Examples
    --------
    >>> round(pendulum_length_m(0.150, 2.0), 3)
    4.295
    """
    require_nonzero("heel_deg", heel_deg)
    return deflection_m / math.tan(math.radians(heel_deg))


def u_tube_tangent(rise_m: float, fall_m: float, spacing_m: float) -> float:
    """Return the tangent of heel that a U-tube shows.

    Parameters
    ----------
    rise_m : float
        Rise of the water against the scale in the leg that goes down [m].
    fall_m : float
        Fall in the other leg [m].
    spacing_m : float
        Distance between the legs [m].

    Returns
    -------
    float
        `tan φ = (rise + fall)/spacing` [-].

    Raises
    ------
    CoreError
        ``not-positive`` for the spacing.

    Notes
    -----
    Common practice; a scale stands square to the line between the legs.

    Examples
    --------
    >>> round(u_tube_tangent(0.165, 0.163, 14.0), 7)
    0.0234286
    """
    require_positive("spacing_m", spacing_m)
    return (rise_m + fall_m) / spacing_m


def draught_difference_m(breadth_m: float, heel_deg: float) -> float:
    """Return the difference of draught from port to starboard at a list.

    Parameters
    ----------
    breadth_m : float
        Distance between the two marks across the ship [m].
    heel_deg : float
        List, to starboard positive [°].

    Returns
    -------
    float
        Starboard draught less port draught `= B·tan φ` [m].

    Examples
    --------
    >>> round(draught_difference_m(20.0, 0.5), 4)
    0.1745
    """
    require_positive("breadth_m", breadth_m)
    return breadth_m * math.tan(math.radians(heel_deg))
