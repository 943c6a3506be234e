"""What loads do to draught and trim.

The closed forms are those of any textbook, such as Barrass and Derrett, Ship Stability for Masters and Mates. They
are linear: good while the waterplane stays nearly the same. x is measured forward of the aft perpendicular, trim by
the stern is positive.
"""

from __future__ import annotations

from collections.abc import Sequence

from .draughts import EndDraughts
from .guards import require_nonzero, require_positive


def tonnes_per_cm(waterplane_area_m2: float, density_t_per_m3: float) -> float:
    """Return the load that sinks the ship by one centimetre.

    Parameters
    ----------
    waterplane_area_m2 : float
        Waterplane area [m²].
    density_t_per_m3 : float
        Density of the water [t/m³].

    Returns
    -------
    float
        `ρ·A/100` [t/cm].

    Examples
    --------
    >>> tonnes_per_cm(2000.0, 1.025)
    20.5
    """
    require_positive("waterplane_area_m2", waterplane_area_m2)
    require_positive("density_t_per_m3", density_t_per_m3)
    return density_t_per_m3 * waterplane_area_m2 / 100.0


def moment_to_change_trim_t_m_per_cm(displacement_t: float, gm_l_m: float, length_bp_m: float) -> float:
    """Return the moment that changes the trim by one centimetre.

    Parameters
    ----------
    displacement_t : float
        Displacement [t].
    gm_l_m : float
        Longitudinal metacentric height; with `BM_L` in its place the usual approximation [m].
    length_bp_m : float
        Length between perpendiculars [m].

    Returns
    -------
    float
        `Δ·GM_L/(100·L)` [t·m/cm].

    Examples
    --------
    >>> round(moment_to_change_trim_t_m_per_cm(8100.0, 96.0, 85.0), 2)
    91.48
    """
    require_positive("displacement_t", displacement_t)
    require_positive("length_bp_m", length_bp_m)
    return displacement_t * gm_l_m / (100.0 * length_bp_m)


def draughts_after_loading(
    before: EndDraughts,
    masses_t: Sequence[float],
    x_m: Sequence[float],
    tpc_t_per_cm: float,
    mtc_t_m_per_cm: float,
    lcf_m: float,
    length_bp_m: float,
) -> EndDraughts:
    """Return the draughts at the perpendiculars after loading and discharging.

    Parameters
    ----------
    before : EndDraughts
        Draughts at the perpendiculars before [m].
    masses_t : sequence of float, shape (n,)
        Masses loaded; discharged ones are negative [t].
    x_m : sequence of float, shape (n,)
        Where, forward of the aft perpendicular [m].
    tpc_t_per_cm : float
        Tonnes per centimetre [t/cm].
    mtc_t_m_per_cm : float
        Moment to change trim [t·m/cm].
    lcf_m : float
        Centre of flotation, forward of the aft perpendicular [m].
    length_bp_m : float
        Length between perpendiculars [m].

    Returns
    -------
    EndDraughts
        Draughts after: parallel sinkage `Σm/TPC`, trim `Σm·(LCF − x)/MTC` about the centre of flotation.

    Examples
    --------
    >>> after = draughts_after_loading(EndDraughts(5.0, 5.0), [100.0], [30.0], 20.0, 100.0, 50.0, 100.0)
    >>> round(after.draught_aft_m, 3), round(after.draught_fwd_m, 3)
    (5.15, 4.95)
    """
    require_positive("tpc_t_per_cm", tpc_t_per_cm)
    require_positive("mtc_t_m_per_cm", mtc_t_m_per_cm)
    require_positive("length_bp_m", length_bp_m)
    sinkage = sum(masses_t) / tpc_t_per_cm / 100.0
    moment = sum(m * (lcf_m - x) for m, x in zip(masses_t, x_m, strict=True))
    trim = moment / mtc_t_m_per_cm / 100.0
    aft = sinkage + trim * lcf_m / length_bp_m
    return EndDraughts(before.draught_aft_m + aft, before.draught_fwd_m + aft - trim)


def mass_to_change_draught_t(
    change_m: float,
    at_x_m: float,
    load_x_m: float,
    tpc_t_per_cm: float,
    mtc_t_m_per_cm: float,
    lcf_m: float,
    length_bp_m: float,
) -> float:
    """Return the mass to load in one place that changes the draught in another by a given amount.

    Parameters
    ----------
    change_m : float
        Wanted change of draught, deeper positive [m].
    at_x_m : float
        Where the draught is wanted, forward of the aft perpendicular [m].
    load_x_m : float
        Where the mass goes [m].
    tpc_t_per_cm, mtc_t_m_per_cm, lcf_m, length_bp_m : float
        As in `draughts_after_loading`.

    Returns
    -------
    float
        Mass [t]; negative means discharge.

    Raises
    ------
    CoreError
        ``zero-divisor`` when a load there does not change the draught wanted.

    Notes
    -----
    `100·δT = m·(1/TPC + (LCF − x_m)·(LCF − x)/(MTC·L))`, from sinkage and trim about the centre of flotation.

    Examples
    --------
    >>> round(mass_to_change_draught_t(0.30, 0.0, 9.5, 9.0, 91.48235, 40.5, 85.0), 2)
    110.06
    """
    require_positive("tpc_t_per_cm", tpc_t_per_cm)
    require_positive("mtc_t_m_per_cm", mtc_t_m_per_cm)
    require_positive("length_bp_m", length_bp_m)
    per_tonne = 1.0 / tpc_t_per_cm + (lcf_m - load_x_m) * (lcf_m - at_x_m) / (mtc_t_m_per_cm * length_bp_m)
    require_nonzero("load_x_m", per_tonne)
    return 100.0 * change_m / per_tonne
