"""Equilibrium in the simulator against closed forms and against statics in the axes of the earth."""

import numpy as np
import pytest

from .simulator import FAMILIES, Options, simulate
from .simulator.clipping import Plane
from .simulator.floating import Buoyancy, Load, float_freely
from .simulator.liquids import Liquid, Tank
from .simulator.mesh import box_mesh, hull_mesh

LENGTH, BREADTH, DEPTH, DRAUGHT, DENSITY = 50.0, 12.0, 4.5, 2.0, 1.025
KG = 4.0
DISPLACEMENT = DENSITY * LENGTH * BREADTH * DRAUGHT


def _buoyancy() -> Buoyancy:
    contour = [[0.0, 0.0], [BREADTH / 2, 0.0], [BREADTH / 2, DEPTH]]
    return Buoyancy(hull_mesh([0.0, LENGTH], [contour] * 2), DENSITY)


def _rectangular_tank() -> Tank:
    return Tank("T", box_mesh([20, -4, 0.4], [26, 1, 2.4]), np.array([21.0, -1.0, 0.4]))


@pytest.mark.parametrize("tangent", [0.01, 0.05, -0.12])
def test_a_box_heels_by_the_wall_sided_formula(tangent: float) -> None:
    """w·d/Δ = tan φ·(GM + ½·BM·tan²φ): the wall-sided formula, exact for a box with its corners clear (textbooks)."""
    bm = BREADTH**2 / (12 * DRAUGHT)
    gm = DRAUGHT / 2 + bm - KG
    lever = tangent * (gm + 0.5 * bm * tangent**2)
    load = Load(DISPLACEMENT, DISPLACEMENT * np.array([LENGTH / 2, lever, KG]))
    afloat = float_freely(_buoyancy(), load, Plane(1.5))
    assert afloat.plane.slope_y == pytest.approx(tangent, abs=1e-11)
    assert afloat.gm_fluid_m == pytest.approx(gm + 1.5 * bm * tangent**2, rel=1e-9)


def test_a_box_trims_by_the_same_formula_lengthwise() -> None:
    bm = LENGTH**2 / (12 * DRAUGHT)
    slope = -0.01
    lever = slope * (DRAUGHT / 2 + bm - KG + 0.5 * bm * slope**2)
    load = Load(DISPLACEMENT, DISPLACEMENT * np.array([LENGTH / 2 + lever, 0.0, KG]))
    assert float_freely(_buoyancy(), load, Plane(2.0)).plane.slope_x == pytest.approx(slope, abs=1e-11)


@pytest.mark.parametrize("tangent", [0.02, -0.06])
def test_liquid_in_a_rectangular_tank_shifts_by_its_second_moment(tangent: float) -> None:
    """Sideways ρ·i_T·tan φ, upwards half of that times tan φ, while the surface is clear of top and bottom."""
    liquid = Liquid(_rectangular_tank(), 30.0, 0.9)
    level, tilted = (liquid.moments_t_m(0.0, slope)[0] for slope in (0.0, tangent))
    moment = 0.9 * 6 * 5**3 / 12
    assert tilted[1] - level[1] == pytest.approx(moment * tangent, rel=1e-11)
    assert tilted[2] - level[2] == pytest.approx(0.5 * moment * tangent**2, rel=1e-9)
    assert tilted[0] == pytest.approx(level[0], abs=1e-11)


def test_a_surface_that_meets_the_tank_top_shifts_less() -> None:
    liquid = Liquid(_rectangular_tank(), 58.5, 0.9)
    shift = liquid.moments_t_m(0.0, 0.06)[0][1] - liquid.moments_t_m(0.0, 0.0)[0][1]
    assert 0.0 < shift < 0.9 * 0.9 * 6 * 5**3 / 12 * 0.06


def test_liquid_derivatives_match_differences() -> None:
    liquid, step = Liquid(_rectangular_tank(), 58.0, 0.9), 1e-6
    exact = liquid.moments_t_m(0.01, 0.05)[1]
    for column, (dx, dy) in enumerate([(step, 0.0), (0.0, step)]):
        ahead, behind = (liquid.moments_t_m(0.01 + s * dx, 0.05 + s * dy)[0] for s in (1.0, -1.0))
        assert exact[:, column] == pytest.approx((ahead - behind) / (2 * step), rel=1e-6, abs=1e-6)


def test_a_slack_tank_lowers_the_stiffness_of_a_box_by_its_free_surface() -> None:
    tank = Tank("T", box_mesh([22, -2.5, 0.4], [28, 2.5, 2.4]), np.array([23.0, -1.0, 0.4]))
    liquid = Liquid(tank, 30.0, 0.9)
    level = liquid.moments_t_m(0.0, 0.0)[0]
    solid = DISPLACEMENT * np.array([LENGTH / 2, 0.0, KG]) - level
    afloat = float_freely(_buoyancy(), Load(DISPLACEMENT - liquid.mass_t, solid, [liquid]), Plane(2.0))
    gm = DRAUGHT / 2 + BREADTH**2 / (12 * DRAUGHT) - KG
    assert afloat.gm_fluid_m == pytest.approx(gm - 0.9 * 6 * 5**3 / 12 / DISPLACEMENT, rel=1e-9)


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_gravity_and_buoyancy_act_on_one_vertical_in_every_state(family: str) -> None:
    """The same statics in other words: G − B has no horizontal part, and weight equals the water displaced."""
    day = simulate(family, 7).day
    for spots, afloat in zip(day.spots, day.afloat, strict=True):
        masses = day.ship.masses(spots)
        load = Load.of_points(masses.masses_t, masses.points_m, day.ship.liquids)
        sx, sy = afloat.plane.slope_x, afloat.plane.slope_y
        between = load.moments_t_m(sx, sy)[0] / load.mass_t - afloat.cut.centroid_m
        forward, starboard = np.array([1.0, 0.0, sx]), np.array([0.0, 1.0, sy])
        assert abs(between @ forward) < 1e-9 * day.ship.shape.length_bp_m
        assert abs(between @ starboard) < 1e-9 * day.ship.shape.length_bp_m
        assert afloat.cut.volume_m3 * day.ship.density_t_per_m3 == pytest.approx(load.mass_t, rel=1e-10)


@pytest.mark.parametrize("family", ["round_bilge", "catamaran", "asymmetric"])
def test_the_stated_stiffness_is_that_of_a_small_shift_of_weight(family: str) -> None:
    """Reference: the ship floated again with a small transverse moment to either side."""
    day = simulate(family, 3).day
    masses, ship = day.ship.masses(day.spots[0]), day.ship
    load = Load.of_points(masses.masses_t, masses.points_m, ship.liquids)
    buoyancy, moment = Buoyancy(ship.mesh, ship.density_t_per_m3), 1e-5 * load.mass_t
    tangents = []
    for sign in (1.0, -1.0):
        shifted = Load(load.solid_mass_t, load.solid_moments_t_m + np.array([0.0, sign * moment, 0.0]), ship.liquids)
        tangents.append(float_freely(buoyancy, shifted, day.initial).plane.slope_y)
    gm = 2.0 * moment / load.mass_t / (tangents[0] - tangents[1])
    assert day.afloat[0].gm_fluid_m == pytest.approx(gm, rel=1e-6)


def test_a_hogged_box_sits_two_thirds_of_its_hog_deeper_at_the_ends() -> None:
    """The parabola b has the mean 2/3 and the variance 4/45 over the length (derived here).

    A box displaces the same when T0 rises by 2/3 of the hog; its immersed volume is a little less where it is raised.
    """
    straight = simulate("box_barge", 2, options=Options(refine=24))
    hogged = simulate("box_barge", 2, options=Options(refine=24, hog_m=0.09))
    deeper = hogged.truth["as_inclined"]["draught_mid_m"] - straight.truth["as_inclined"]["draught_mid_m"]
    assert deeper == pytest.approx(0.06, abs=1e-5)
    shape, volume = straight.day.ship.shape, straight.truth["as_inclined"]["volume_m3"]
    depth = volume / (shape.length_bp_m * shape.breadth_m)
    lift = 0.09 * (2.0 / 3.0 - 0.09 * 4.0 / 45.0 / depth)
    assert hogged.truth["as_inclined"]["hog_lift_of_volume_m"] == pytest.approx(lift, abs=1e-6)
    assert hogged.truth["lightship"] == straight.truth["lightship"]
