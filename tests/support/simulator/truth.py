"""What a perfect reduction of a simulated test would find."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .clipping import Plane, cut_below, x_squared_below_m5
from .floating import Load
from .hydrostatics import km_t_m
from .liquids import level_of_volume
from .testday import TestDay

Array = NDArray[np.float64]


def truth_of(day: TestDay) -> dict[str, Any]:
    """Lightship and as-inclined condition; centres are in the axes of the undeformed hull, liquids level and upright.

    `gm_fluid_m` is the slope of the righting lever at the initial heel, ship free to sink and trim;
    `gm_fluid_upright_m` is KM_T (upright, trimmed) less KG less the free surface, the textbook's sum;
    `classical_gm_fluid_m` is what the textbook's line through the noise-free heels gives. Centres named `fluid` have
    the liquids where they truly lie in the initial state.
    """
    ship = day.ship
    light = ship.lightship_m
    return {
        "lightship": {
            "mass_t": ship.lightship_t,
            "lcg_m": float(light[0]),
            "tcg_m": float(light[1]),
            "vcg_m": float(light[2]),
        },
        "as_inclined": as_inclined(day),
        "classical_gm_fluid_m": classical_gm_m(day),
        "largest_residual": max(float(np.max(np.abs(afloat.residuals))) for afloat in day.afloat),
    }


def as_inclined(day: TestDay) -> dict[str, Any]:
    """The initial state."""
    ship, plane = day.ship, day.initial
    masses = ship.masses(day.spots[0])
    load = Load.of_points(masses.masses_t, masses.points_m, ship.liquids)
    level = load.moments_t_m(0.0, 0.0)[0] / load.mass_t
    fluid = load.moments_t_m(plane.slope_x, plane.slope_y)[0] / load.mass_t
    volume_lift, mass_lift = hog_lifts_m(day)
    bent = ship.mesh.bent(day.hog_m, ship.shape.length_bp_m)
    upright = km_t_m(cut_below(bent, Plane(plane.height_m, plane.slope_x))) - volume_lift
    surface = free_surface_t_m(day)
    lcb, tcb, vcb = (float(value) for value in day.afloat[0].cut.centroid_m)
    return {
        "km_t_m": upright,
        "gm_fluid_m": day.afloat[0].gm_fluid_m,
        "gm_fluid_upright_m": upright - float(level[2]) - surface / load.mass_t,
        "displacement_t": load.mass_t,
        "volume_m3": load.mass_t / ship.density_t_per_m3,
        "density_t_per_m3": ship.density_t_per_m3,
        "lcb_m": lcb,
        "tcb_m": tcb,
        "vcb_m": vcb - volume_lift,
        "trim_by_stern_m": -plane.slope_x * ship.shape.length_bp_m,
        "draught_mid_m": plane.z_m(ship.shape.length_bp_m / 2, 0.0),
        "heel_deg": day.afloat[0].heel_deg,
        "lcg_as_inclined_m": float(level[0]),
        "tcg_as_inclined_m": float(level[1]),
        "vcg_as_inclined_m": float(level[2]),
        "lcg_fluid_m": float(fluid[0]),
        "tcg_fluid_m": float(fluid[1]),
        "vcg_fluid_m": float(fluid[2]),
        "heels_deg": [afloat.heel_deg for afloat in day.afloat],
        "fsm_t_m": surface,
        "hog_m": day.hog_m,
        "hog_lift_of_volume_m": volume_lift,
        "hog_lift_of_mass_m": mass_lift,
    }


def free_surface_t_m(day: TestDay) -> float:
    """Sum of density × transverse second moment over slack tanks at a level, upright surface."""
    total = 0.0
    for liquid in day.ship.liquids:
        if liquid.state == "slack":
            cut = level_of_volume(liquid.tank.shape, liquid.volume_m3, 0.0, 0.0)[1]
            total += liquid.density_t_per_m3 * float(cut.second_moments_m4[1, 1])
    return total


def hog_lifts_m(day: TestDay) -> tuple[float, float]:
    """How far a hog carries up the centre of the immersed volume, and that of the masses aboard."""
    if day.hog_m == 0.0:
        return 0.0, 0.0
    ship, length = day.ship, day.ship.shape.length_bp_m
    cut, plane = day.afloat[0].cut, day.initial
    square = x_squared_below_m5(ship.mesh.bent(day.hog_m, length), plane) / cut.volume_m3
    x = float(cut.centroid_m[0])
    volume_lift = day.hog_m * (4.0 * x / length - 4.0 * square / length**2)
    before = ship.masses(day.spots[0])
    after = before.bent(day.hog_m, length)
    solid = before.masses_t @ (after.points_m[:, 2] - before.points_m[:, 2])
    wet = sum(
        liquid.bent(day.hog_m, length).moments_t_m(0.0, 0.0)[0][2] - liquid.moments_t_m(0.0, 0.0)[0][2]
        for liquid in ship.liquids
    )
    mass = float(before.masses_t.sum()) + sum(liquid.mass_t for liquid in ship.liquids)
    return volume_lift, float(solid + wet) / mass


def classical_gm_m(day: TestDay) -> float:
    """GM by the slope of tangent on moment over all states: the wall-sided method on readings without error."""
    ship = day.ship
    moments = [float(masses.masses_t @ masses.points_m[:, 1]) for masses in (ship.masses(s) for s in day.spots)]
    tangents = [afloat.plane.slope_y for afloat in day.afloat]
    slope = float(np.polyfit(np.array(moments) - moments[0], tangents, 1)[0])
    displacement = ship.masses(day.spots[0]).masses_t.sum() + sum(liquid.mass_t for liquid in ship.liquids)
    return 1.0 / (slope * float(displacement))
