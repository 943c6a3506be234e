import doctest
import importlib
import math
import pkgutil

import numpy as np
import pytest
from heelwright_service.core import formulas
from heelwright_service.core.errors import CoreError
from heelwright_service.core.formulas import draughts, form, free_surface, inclining, integration, masses, trim
from hypothesis import given
from hypothesis import strategies as st

MODULES = [name for _, name, _ in pkgutil.iter_modules(formulas.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_the_documentation_run(name: str) -> None:
    result = doctest.testmod(importlib.import_module(f"{formulas.__name__}.{name}"))
    assert result.failed == 0
    assert result.attempted > 0


# Lengths and deflections at standard heels: computed for this project from δ = λ·tan φ.
@pytest.mark.parametrize(
    ("heel", "length_150", "length_100", "deflection_3", "deflection_6"),
    [
        (1.0, 8.593, 5.729, 52.4, 104.7),
        (1.5, 5.728, 3.819, 78.6, 157.1),
        (2.0, 4.295, 2.864, 104.8, 209.5),
        (2.5, 3.436, 2.290, 131.0, 262.0),
        (3.0, 2.862, 1.908, 157.2, 314.5),
        (4.0, 2.145, 1.430, 209.8, 419.6),
    ],
)
def test_pendulums_and_heels_fit_the_table(
    heel: float, length_150: float, length_100: float, deflection_3: float, deflection_6: float
) -> None:
    assert inclining.pendulum_length_m(0.150, heel) == pytest.approx(length_150, abs=6e-4)
    assert inclining.pendulum_length_m(0.100, heel) == pytest.approx(length_100, abs=6e-4)
    assert 1000.0 * inclining.pendulum_deflection_m(3.0, heel) == pytest.approx(deflection_3, abs=0.06)
    assert 1000.0 * inclining.pendulum_deflection_m(6.0, heel) == pytest.approx(deflection_6, abs=0.06)


@pytest.mark.parametrize(("breadth", "expected"), [(8.0, 0.0698), (12.0, 0.1047), (20.0, 0.1745), (30.0, 0.2618)])
def test_half_a_degree_of_list_is_a_draught_difference(breadth: float, expected: float) -> None:
    assert inclining.draught_difference_m(breadth, 0.5) == pytest.approx(expected, abs=6e-5)


@pytest.mark.parametrize(
    ("displacement", "gm", "moments"),
    [
        (500.0, 0.80, [6.98, 13.97, 20.96, 27.97]),
        (2500.0, 0.95, [41.46, 82.94, 124.47, 166.08]),
        (20000.0, 2.00, [698.2, 1396.8, 2096.3, 2797.1]),
    ],
)
def test_moments_for_one_to_four_degrees(displacement: float, gm: float, moments: list[float]) -> None:
    found = [inclining.moment_for_heel_t_m(heel, gm, displacement) for heel in (1.0, 2.0, 3.0, 4.0)]
    assert found == pytest.approx(moments, rel=4e-4)
    back = [inclining.heel_from_moment_deg(moment, gm, displacement) for moment in found]
    assert back == pytest.approx([1.0, 2.0, 3.0, 4.0])


def test_a_u_tube_gives_the_sum_of_rise_and_fall_over_its_spacing() -> None:
    tangent = inclining.u_tube_tangent(0.165, 0.163, 14.0)
    assert tangent == pytest.approx(0.0234286, abs=5e-8)
    assert math.degrees(math.atan(tangent)) == pytest.approx(1.34211, abs=5e-6)


def test_taking_radians_for_tangents_errs_by_the_known_share() -> None:
    shares = [math.tan(math.radians(a)) / math.radians(a) - 1.0 for a in (1.0, 2.0, 4.0)]
    assert [100.0 * s for s in shares] == pytest.approx([0.0102, 0.0406, 0.1628], abs=6e-5)
    moment = inclining.moment_for_heel_t_m(4.0, 1.0, 1000.0)
    assert moment / (1000.0 * math.radians(4.0)) - 1.0 == pytest.approx(shares[2])


def test_a_perfect_test_reduces_to_its_own_gm_and_kg() -> None:
    # Made for this project: 2500 t, GM fluid 0.950 m, KM 7.100 m, one slack tank 10 × 6 m of 1.025 t/m³.
    moment = free_surface.free_surface_moment_t_m(1.025, free_surface.rectangle_second_moment_m4(10.0, 6.0))
    correction = free_surface.free_surface_correction_m([moment], 2500.0)
    fluid = inclining.gm_from_slope_m(4.2105263157e-4, 2500.0)
    assert moment == pytest.approx(184.5)
    assert correction == pytest.approx(0.0738)
    assert fluid == pytest.approx(0.950, abs=1e-9)
    assert fluid + correction == pytest.approx(1.0238)
    assert 7.100 - fluid - correction == pytest.approx(6.0762)


@pytest.mark.parametrize(
    ("moment", "tangent", "heel", "deflection_4", "deflection_6"),
    [(36.0, 0.01515789, 0.86842, 60.632, 90.947), (-72.0, -0.03031579, -1.73643, -121.263, -181.895)],
)
def test_a_perfect_test_shows_these_deflections(
    moment: float, tangent: float, heel: float, deflection_4: float, deflection_6: float
) -> None:
    found = math.copysign(inclining.heel_from_moment_deg(abs(moment), 0.950, 2500.0), moment)
    assert found == pytest.approx(heel, abs=6e-6)
    assert inclining.heel_from_moment_deg(moment, 0.950, 2500.0) == pytest.approx(heel, abs=6e-6)
    assert math.tan(math.radians(found)) == pytest.approx(tangent, abs=6e-9)
    assert 1000.0 * inclining.pendulum_deflection_m(4.0, found) == pytest.approx(deflection_4, abs=6e-4)
    assert 1000.0 * inclining.pendulum_deflection_m(6.0, found) == pytest.approx(deflection_6, abs=6e-4)


def test_a_perfect_test_reduces_to_its_lightship() -> None:
    as_inclined = (2500.0, 31.200, 6.0762)
    taken_off = [(12.0, 30.0, 11.0), (0.75, 33.0, 10.0), (60.0, 20.0, 2.0), (180.0, 35.0, 1.20), (4.0, 40.0, 9.0)]
    put_on = [(3.5, 25.0, 14.0), (6.0, 30.0, 6.0)]
    rows = [as_inclined, *[(-m, x, z) for m, x, z in taken_off], *put_on]
    mass, lcg = masses.combined_centre([r[0] for r in rows], [r[1] for r in rows])
    _, vcg = masses.combined_centre([r[0] for r in rows], [r[2] for r in rows])
    assert mass == pytest.approx(2252.750, abs=1e-9)
    assert lcg == pytest.approx(31.172012, abs=6e-7)
    assert vcg == pytest.approx(6.553768, abs=6e-7)
    assert 100.0 * 16.75 / mass == pytest.approx(0.744, abs=5e-4)
    assert 100.0 * 9.5 / mass == pytest.approx(0.422, abs=5e-4)


@given(
    displacement=st.floats(10.0, 1e5), gm=st.floats(0.05, 20.0), moment=st.floats(-50.0, 50.0), bm=st.floats(0.1, 30.0)
)
def test_a_wall_sided_ship_in_equilibrium_balances_the_moment(
    displacement: float, gm: float, moment: float, bm: float
) -> None:
    heel = inclining.heel_wall_sided_deg(moment, gm, bm, displacement)
    righting = displacement * inclining.wall_sided_gz_m(heel, gm, bm)
    assert righting == pytest.approx(moment * math.cos(math.radians(heel)), rel=1e-6, abs=1e-9)
    assert abs(heel) <= abs(inclining.heel_from_moment_deg(moment, gm, displacement)) + 1e-9


def test_without_a_moment_a_ship_with_negative_gm_lies_at_its_angle_of_loll() -> None:
    # tan²φ = −2·GM/BM: wall-sided formula at GZ = 0.
    heel = inclining.heel_wall_sided_deg(0.0, -0.08, 4.0, 1000.0)
    assert math.tan(math.radians(heel)) == pytest.approx(0.2)


def test_without_a_moment_a_stable_ship_is_upright() -> None:
    assert inclining.heel_wall_sided_deg(0.0, 0.5, 4.0, 1000.0) == 0.0
    assert inclining.heel_wall_sided_deg(0.0, 0.0, 4.0, 1000.0) == pytest.approx(0.0, abs=1e-6)


def test_small_angle_heel_is_refused_for_a_ship_without_positive_gm() -> None:
    with pytest.raises(CoreError) as refused:
        inclining.heel_from_moment_deg(10.0, 0.0, 1000.0)
    assert refused.value.code == "not-positive"
    assert refused.value.pointer == "/gm_m"


def test_gm_is_refused_without_a_heel() -> None:
    with pytest.raises(CoreError) as refused:
        inclining.gm_from_shift_m(80.0, 0.0, 1000.0)
    assert refused.value.code == "zero-divisor"


def test_a_mass_put_on_and_taken_off_again_leaves_the_centre() -> None:
    assert masses.combined_centre([1000.0, 20.0, -20.0], [5.0, 9.0, 9.0]) == pytest.approx((1000.0, 5.0))


def test_centres_without_masses_are_refused() -> None:
    with pytest.raises(CoreError) as refused:
        masses.combined_centre([1.0, 2.0], [3.0])
    assert refused.value.code == "unequal-length"


def test_nothing_left_has_no_centre() -> None:
    with pytest.raises(CoreError) as refused:
        masses.combined_centre([1.0, -1.0], [3.0, 4.0])
    assert refused.value.code == "zero-divisor"


@pytest.mark.parametrize(("after", "expected"), [(6.05, 8.05), (6.50, 26.5), (5.80, -2.2)])
def test_the_implied_centre_of_growth_shows_what_is_impossible(after: float, expected: float) -> None:
    # Made for this project: 1200 t at 6.00 m grown to 1230 t.
    assert masses.implied_centre_m(1200.0, 6.00, 1230.0, after) == pytest.approx(expected, abs=1e-9)


def test_what_is_loaded_for_a_wanted_gm_gives_that_gm() -> None:
    load = masses.mass_for_gm_t(8000.0, 4.675, 5.3, 9.0, 0.3)
    _, kg = masses.combined_centre([8000.0, load], [4.675, 9.0])
    assert 5.3 - kg == pytest.approx(0.3)


@given(coefficients=st.tuples(*[st.floats(-10.0, 10.0)] * 4), start=st.floats(-5.0, 5.0), step=st.floats(0.1, 3.0))
def test_simpsons_rule_is_exact_for_cubics(coefficients: tuple[float, ...], start: float, step: float) -> None:
    x = start + np.array([0.0, 0.5, 1.0, 2.0, 3.0]) * step
    cubic = np.polynomial.Polynomial(coefficients)
    exact = cubic.integ()(x[-1]) - cubic.integ()(x[0])
    scale = float(np.sum(np.abs(integration.simpson_weights(x) * cubic(x)))) + 1e-9
    assert integration.simpson_weights(x) @ cubic(x) == pytest.approx(exact, abs=1e-9 * scale)


def test_the_trapezoidal_rule_is_exact_for_straight_lines_at_any_spacing() -> None:
    x = np.array([0.0, 0.3, 1.1, 5.0])
    assert integration.trapezoid_weights(x) @ (2.0 * x + 1.0) == pytest.approx(30.0)


@pytest.mark.parametrize("stations", [[0.0, 1.0], [0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 3.0], [0.0, 1.0, 1.0]])
def test_stations_that_simpsons_rule_cannot_use_are_refused(stations: list[float]) -> None:
    with pytest.raises(CoreError) as refused:
        integration.simpson_weights(stations)
    assert refused.value.code == "stations-unsuited"


def test_stations_out_of_order_are_refused_by_the_trapezoidal_rule() -> None:
    with pytest.raises(CoreError) as refused:
        integration.trapezoid_weights([0.0, 2.0, 1.0])
    assert refused.value.code == "stations-unsuited"


def test_ordinates_that_do_not_match_the_stations_are_refused() -> None:
    with pytest.raises(CoreError) as refused:
        integration.waterplane_properties([0.0, 1.0, 2.0], [1.0, 1.0])
    assert refused.value.code == "unequal-length"


def test_a_rectangle_has_the_second_moments_of_a_rectangle() -> None:
    plane = integration.waterplane_properties(np.linspace(10.0, 40.0, 7), np.full(7, 4.0))
    assert plane.area_m2 == pytest.approx(240.0)
    assert plane.centroid_m == pytest.approx(25.0)
    assert plane.i_x_m4 == pytest.approx(30.0 * 8.0**3 / 12.0)
    assert plane.i_y_m4 == pytest.approx(8.0 * 30.0**3 / 12.0)


def test_trim_turns_about_the_centre_of_flotation() -> None:
    before = draughts.EndDraughts(4.0, 4.0)
    after = trim.draughts_after_loading(before, [50.0], [10.0], 10.0, 80.0, 30.0, 70.0)
    at_flotation = after.draught_aft_m - after.trim_m * 30.0 / 70.0
    assert at_flotation == pytest.approx(4.05)
    assert after.trim_m == pytest.approx(50.0 * 20.0 / 80.0 / 100.0)


def test_a_load_at_the_centre_of_flotation_does_not_trim() -> None:
    after = trim.draughts_after_loading(draughts.EndDraughts(4.0, 3.5), [50.0], [30.0], 10.0, 80.0, 30.0, 70.0)
    assert after.trim_m == pytest.approx(0.5)


def test_the_mass_for_a_wanted_draught_gives_that_draught() -> None:
    mass = trim.mass_to_change_draught_t(0.30, 0.0, 9.5, 9.0, 91.48235, 40.5, 85.0)
    after = trim.draughts_after_loading(draughts.EndDraughts(5.55, 5.25), [mass], [9.5], 9.0, 91.48235, 40.5, 85.0)
    assert after.draught_aft_m == pytest.approx(5.85)


def test_marks_on_the_perpendiculars_need_no_correction() -> None:
    ends = draughts.draughts_at_perpendiculars(5.0, 0.0, 4.0, 80.0, 80.0)
    assert (ends.draught_aft_m, ends.draught_fwd_m) == (5.0, 4.0)


def test_marks_at_the_same_place_are_refused() -> None:
    with pytest.raises(CoreError) as refused:
        draughts.draughts_at_perpendiculars(5.0, 10.0, 4.0, 10.0, 80.0)
    assert refused.value.code == "zero-divisor"


def test_means_of_three_draughts() -> None:
    # Computed for this project: F 3.10, M 3.42, A 3.60 m.
    assert draughts.mean_of_means_m(3.10, 3.42, 3.60) == pytest.approx(3.4025)
    assert draughts.deflection_of_keel_m(3.10, 3.42, 3.60) == pytest.approx(0.0700)


def test_a_table_displacement_is_carried_to_the_measured_density() -> None:
    assert draughts.displacement_in_water_t(2500.0, 1.025, 1.012) == pytest.approx(2468.2927, abs=5e-5)


def test_a_ship_rises_in_denser_water() -> None:
    assert draughts.sinkage_between_waters_m(1000.0, 300.0, 1.000, 1.025) < 0.0


def test_a_volume_larger_than_its_box_is_refused() -> None:
    with pytest.raises(CoreError) as refused:
        form.block_coefficient(3001.0, 60.0, 10.0, 5.0)
    assert refused.value.code == "block-coefficient-above-one"
