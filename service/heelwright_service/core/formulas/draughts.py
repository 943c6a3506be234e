"""What draught readings say: perpendiculars, means, hog and sag, trim and the density of the water.

The closed forms are those of draught survey practice (UN/ECE draught survey code, ECE/ENERGY/19, 1992) and of any
textbook. They check a waterline that is fitted and integrated; they do not replace it. x is measured forward of the
aft perpendicular, trim by the stern is positive.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .guards import require_nonzero, require_positive
from .integration import integral_and_centroid


@dataclass(frozen=True)
class EndDraughts:
    """Draughts at the perpendiculars."""

    draught_aft_m: float
    draught_fwd_m: float

    @property
    def trim_m(self) -> float:
        """Aft draught less forward draught: by the stern positive."""
        return self.draught_aft_m - self.draught_fwd_m


def draughts_at_perpendiculars(
    aft_reading_m: float, aft_x_m: float, fwd_reading_m: float, fwd_x_m: float, length_bp_m: float
) -> EndDraughts:
    """Carry the draughts read at two marks along a straight waterline to the perpendiculars.

    Parameters
    ----------
    aft_reading_m, fwd_reading_m : float
        Draughts at the marks [m].
    aft_x_m, fwd_x_m : float
        Where the marks stand, forward of the aft perpendicular [m].
    length_bp_m : float
        Length between perpendiculars [m].

    Returns
    -------
    EndDraughts
        Draughts at the perpendiculars [m].

    Raises
    ------
    CoreError
        ``zero-divisor`` when both marks stand at the same place.

    Notes
    -----
    Straight line through both; draught survey practice writes it as corrections `trim·distance/length between marks`.

    Examples
    --------
    >>> ends = draughts_at_perpendiculars(7.45, 4.5, 5.40, 149.2, 150.0)
    >>> round(ends.draught_aft_m, 4), round(ends.draught_fwd_m, 4)
    (7.5138, 5.3887)
    """
    require_nonzero("fwd_x_m", fwd_x_m - aft_x_m)
    slope = (fwd_reading_m - aft_reading_m) / (fwd_x_m - aft_x_m)
    return EndDraughts(aft_reading_m - slope * aft_x_m, fwd_reading_m + slope * (length_bp_m - fwd_x_m))


def mean_of_means_m(draught_fwd_m: float, draught_mid_m: float, draught_aft_m: float) -> float:
    """Return the mean draught with a share of the hog or sag.

    Parameters
    ----------
    draught_fwd_m, draught_mid_m, draught_aft_m : float
        Draughts forward, midship and aft [m].

    Returns
    -------
    float
        `(F + 6·M + A)/8` [m].

    Notes
    -----
    Draught survey practice (UN/ECE draught survey code, ECE/ENERGY/19, 1992). A parabolic bend moves the mean
    draught by ⅔ to ⅚ of the midship deflection, depending on the waterplane (`hog_factor`); this rule takes ¾ for all.

    Examples
    --------
    >>> round(mean_of_means_m(3.10, 3.42, 3.60), 4)
    3.4025
    """
    return (draught_fwd_m + 6.0 * draught_mid_m + draught_aft_m) / 8.0


def deflection_of_keel_m(draught_fwd_m: float, draught_mid_m: float, draught_aft_m: float) -> float:
    """Return how far the midship draught is deeper than the straight line between the ends.

    Parameters
    ----------
    draught_fwd_m, draught_mid_m, draught_aft_m : float
        Draughts forward, midship and aft [m].

    Returns
    -------
    float
        `M − (F + A)/2` [m]: positive is sag, negative is hog.

    Examples
    --------
    >>> round(deflection_of_keel_m(3.10, 3.42, 3.60), 4)
    0.07
    """
    return draught_mid_m - 0.5 * (draught_fwd_m + draught_aft_m)


def hog_factor(x_m: ArrayLike, breadths_m: ArrayLike) -> float:
    """Return the part of a parabolic midship deflection that the mean draught takes on.

    Parameters
    ----------
    x_m : array_like, shape (n,)
        Stations from end to end of the waterplane, as in `integration.simpson_weights` [m].
    breadths_m : array_like, shape (n,)
        Waterplane breadths there; only their proportions matter [m].

    Returns
    -------
    float
        `∫b·(1 − (2x/L)²)dx / ∫b dx`, x from the middle [-].

    Notes
    -----
    Derived here from the added layer of a wall-sided hull whose keel bends as a parabola.

    Examples
    --------
    >>> round(hog_factor([0.0, 25.0, 50.0, 75.0, 100.0], [20.0] * 5), 6)
    0.666667
    """
    stations = np.asarray(x_m, dtype=float)
    middle, half = 0.5 * (stations[0] + stations[-1]), 0.5 * (stations[-1] - stations[0])
    breadths = np.asarray(breadths_m, dtype=float)
    area, _ = integral_and_centroid(stations, breadths)
    layer, _ = integral_and_centroid(stations, breadths * (1.0 - ((stations - middle) / half) ** 2))
    return layer / area


def layer_correction_t(tpc_t_per_cm: float, lcf_from_mid_m: float, trim_m: float, length_bp_m: float) -> float:
    """Return what trim adds to the displacement read at the midship draught.

    Parameters
    ----------
    tpc_t_per_cm : float
        Tonnes per centimetre at the midship draught [t/cm].
    lcf_from_mid_m : float
        Centre of flotation forward of the middle of the length [m].
    trim_m : float
        Trim, by the stern positive [m].
    length_bp_m : float
        Length between perpendiculars [m].

    Returns
    -------
    float
        `−100·TPC·LCF·t/L` [t], to be added: exact for a wall-sided hull.

    Notes
    -----
    First trim correction of draught survey practice; the draught at the centre of flotation is what counts.

    Examples
    --------
    >>> round(layer_correction_t(7.38, -10.0 / 3.0, 1.2, 60.0), 6)
    49.2
    """
    require_positive("length_bp_m", length_bp_m)
    return -100.0 * tpc_t_per_cm * lcf_from_mid_m * trim_m / length_bp_m


def displacement_in_water_t(
    displacement_table_t: float, density_table_t_per_m3: float, density_t_per_m3: float
) -> float:
    """Carry a displacement read from tables at one density to the density measured.

    Parameters
    ----------
    displacement_table_t : float
        Displacement by the tables [t].
    density_table_t_per_m3 : float
        Density the tables are made for [t/m³].
    density_t_per_m3 : float
        Density of the water alongside [t/m³].

    Returns
    -------
    float
        `Δ·ρ/ρ_table` [t].

    Examples
    --------
    >>> round(displacement_in_water_t(2500.0, 1.025, 1.012), 4)
    2468.2927
    """
    require_positive("density_table_t_per_m3", density_table_t_per_m3)
    require_positive("density_t_per_m3", density_t_per_m3)
    return displacement_table_t * density_t_per_m3 / density_table_t_per_m3


def sinkage_between_waters_m(
    displacement_t: float, waterplane_area_m2: float, density_from_t_per_m3: float, density_to_t_per_m3: float
) -> float:
    """Return how far a wall-sided ship sinks on going from one water to another.

    Parameters
    ----------
    displacement_t : float
        Displacement [t].
    waterplane_area_m2 : float
        Waterplane area [m²].
    density_from_t_per_m3, density_to_t_per_m3 : float
        Densities before and after [t/m³].

    Returns
    -------
    float
        `Δ·(1/ρ₂ − 1/ρ₁)/A` [m], deeper positive; from 1.025 to 1.000 it is the fresh water allowance.

    Examples
    --------
    >>> round(sinkage_between_waters_m(8200.0, 792.5, 1.024, 1.005), 4)
    0.191
    """
    require_positive("waterplane_area_m2", waterplane_area_m2)
    require_positive("density_from_t_per_m3", density_from_t_per_m3)
    require_positive("density_to_t_per_m3", density_to_t_per_m3)
    return displacement_t * (1.0 / density_to_t_per_m3 - 1.0 / density_from_t_per_m3) / waterplane_area_m2
