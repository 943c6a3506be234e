import doctest

import numpy as np
import pytest
import statsmodels.api as sm
from heelwright_service.core import linefit
from heelwright_service.core.errors import CoreError
from hypothesis import given, settings
from hypothesis import strategies as st

# A published test: three pendulums, eight states, feet and long tons.
# Hansen, Naval Engineers Journal 97(4), May 1985, 97-115; reprinted with Biran, Ship Hydrostatics and Stability (2003).
HANSEN_MOMENTS = np.repeat([3853.7, 2570.1, 1286.8, 3.8, -3785.8, -2523.3, -1263.7, -0.6], 3)
HANSEN_TANGENTS = np.array(
    [
        [0.01869, 0.01854, 0.01788],
        [0.01259, 0.01255, 0.01214],
        [0.00648, 0.00641, 0.00615],
        [0.00042, 0.00047, 0.00000],
        [-0.01791, -0.01802, -0.01850],
        [-0.01194, -0.01203, -0.01235],
        [-0.00574, -0.00599, -0.00646],
        [0.00000, 0.00000, -0.00063],
    ]
).ravel()
HANSEN_PENDULUM = np.tile([0, 1, 2], 8)
HANSEN_STATE = np.repeat(np.arange(8), 3)

# A perfect test made for this project: 2500 t, GM 0.950 m, four weights of 3 t shifted 12 m.
MOMENTS = np.array([0.0, 36.0, 72.0, 36.0, 0.0, -36.0, -72.0, -36.0, 0.0])
TANGENTS = MOMENTS / (2500.0 * 0.950)
ONE = np.zeros(9, dtype=int)


def gm(slope: float) -> float:
    return 1.0 / (slope * 2500.0)


def test_examples_in_the_documentation_run() -> None:
    assert doctest.testmod(linefit).failed == 0


def test_an_intercept_for_each_pendulum_gives_the_published_stiffness_and_scatter() -> None:
    fit = linefit.common_slope(HANSEN_MOMENTS, HANSEN_TANGENTS, HANSEN_PENDULUM)
    assert 1.0 / fit.slope == pytest.approx(208_494.865, abs=0.001)
    assert fit.slope_standard_error / fit.slope == pytest.approx(0.0031720, abs=5e-8)
    assert fit.degrees_of_freedom == 20
    assert fit.intercepts == pytest.approx([2.39216e-4, 1.56716e-4, -3.05784e-4], abs=5e-10)
    assert fit.residual_standard_deviation == pytest.approx(1.77567e-4, abs=5e-10)
    assert fit.r_squared == pytest.approx(0.99979889, abs=5e-9)
    assert np.max(np.abs(fit.residuals)) == pytest.approx(3.21338e-4, abs=5e-10)


def test_one_intercept_for_all_pendulums_overstates_the_scatter() -> None:
    pooled = linefit.common_slope(HANSEN_MOMENTS, HANSEN_TANGENTS, np.zeros(24, dtype=int))
    assert pooled.slope == pytest.approx(4.796281202e-6, abs=5e-16)
    assert pooled.intercepts[0] == pytest.approx(3.004888e-5, abs=5e-12)
    assert pooled.slope_standard_error / pooled.slope == pytest.approx(0.005401, abs=5e-7)
    assert pooled.residual_standard_deviation == pytest.approx(3.02357e-4, abs=5e-10)
    assert np.max(np.abs(pooled.residuals)) == pytest.approx(6.57171e-4, abs=5e-10)
    assert pooled.r_squared == pytest.approx(0.99935858, abs=5e-9)


def test_each_pendulum_has_a_line_of_its_own() -> None:
    lines = linefit.lines_by_group(HANSEN_MOMENTS, HANSEN_TANGENTS, HANSEN_PENDULUM)
    assert [1.0 / lines[g].slope for g in range(3)] == pytest.approx([208_415.538, 208_224.055, 208_845.974], abs=1e-3)
    assert [lines[g].r_squared for g in range(3)] == pytest.approx([0.9999032, 0.9998617, 0.9996354], abs=5e-8)
    assert [lines[g].intercepts[0] for g in range(3)] == pytest.approx([2.3918e-4, 1.5661e-4, -3.0564e-4], abs=5e-9)


def test_averaged_pendulums_give_the_same_slope_with_six_degrees_of_freedom() -> None:
    averaged = linefit.common_slope(HANSEN_MOMENTS[::3], HANSEN_TANGENTS.reshape(8, 3).mean(axis=1), np.zeros(8))
    assert 1.0 / averaged.slope == pytest.approx(208_494.865, abs=1e-3)
    assert averaged.slope_standard_error == pytest.approx(2.47445e-8, abs=5e-14)
    assert averaged.residual_standard_deviation == pytest.approx(1.66739e-4, abs=5e-10)
    assert averaged.degrees_of_freedom == 6


def test_a_group_with_a_fixed_zero_is_forced_through_the_origin() -> None:
    fit = linefit.common_slope(HANSEN_MOMENTS, HANSEN_TANGENTS, np.zeros(24, dtype=int), zero_groups=[0])
    assert 1.0 / fit.slope == pytest.approx(208_490.809, abs=1e-3)
    assert fit.intercepts.tolist() == [0.0]
    assert fit.covariance[0].tolist() == [0.0, 0.0]
    assert fit.degrees_of_freedom == 23


def test_groups_with_and_without_a_fixed_zero_share_the_slope() -> None:
    tangents = np.concatenate([TANGENTS + 0.003, TANGENTS])
    groups = np.repeat([4, 7], 9)
    fit = linefit.common_slope(np.tile(MOMENTS, 2), tangents, groups, zero_groups={7})
    assert fit.groups == (4, 7)
    assert fit.intercepts == pytest.approx([0.003, 0.0], abs=1e-15)
    assert gm(fit.slope) == pytest.approx(0.950, rel=1e-12)


def test_the_fit_agrees_with_an_independent_regression_library() -> None:
    fit = linefit.common_slope(HANSEN_MOMENTS, HANSEN_TANGENTS, HANSEN_PENDULUM)
    scale = 4000.0
    design = np.column_stack([g == HANSEN_PENDULUM for g in range(3)] + [HANSEN_MOMENTS / scale]).astype(float)
    oracle = sm.OLS(HANSEN_TANGENTS, design).fit()
    unscale = np.diag([1.0, 1.0, 1.0, 1.0 / scale])
    assert fit.slope == pytest.approx(oracle.params[3] / scale, rel=1e-12)
    assert fit.covariance == pytest.approx(unscale @ oracle.cov_params() @ unscale, rel=1e-9)
    assert fit.residuals == pytest.approx(oracle.resid, abs=1e-15)
    influence = oracle.get_influence()
    assert fit.leverage == pytest.approx(influence.hat_matrix_diag, rel=1e-10)
    assert fit.studentised_residuals == pytest.approx(influence.resid_studentized_external, rel=1e-9)


def test_the_curvature_agrees_with_an_independent_regression_library() -> None:
    bend = linefit.curvature(HANSEN_MOMENTS, HANSEN_TANGENTS, HANSEN_PENDULUM)
    scaled = HANSEN_MOMENTS / 4000.0
    intercepts = [(g == HANSEN_PENDULUM).astype(float) for g in range(3)]
    oracle = sm.OLS(HANSEN_TANGENTS, np.column_stack([*intercepts, scaled, scaled**2])).fit()
    assert bend.coefficient == pytest.approx(oracle.params[4] / 4000.0**2, rel=1e-9)
    assert bend.standard_error == pytest.approx(oracle.bse[4] / 4000.0**2, rel=1e-9)
    assert bend.t_statistic == pytest.approx(oracle.tvalues[4], rel=1e-9)
    assert bend.p_value == pytest.approx(oracle.pvalues[4], rel=1e-9)


def test_the_line_of_a_metrology_guide_is_reproduced() -> None:
    # JCGM 100:2008 (GUM), annex H.3, thermometer calibration: from memory, every printed result reproduced.
    t = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]) - 20.0
    b = -np.array([0.171, 0.169, 0.166, 0.159, 0.164, 0.165, 0.156, 0.157, 0.159, 0.161, 0.160])
    fit = linefit.common_slope(t, b, np.zeros(11))
    u_intercept, u_slope = np.sqrt(np.diag(fit.covariance))
    assert fit.intercepts[0] == pytest.approx(-0.1712, abs=5e-5)
    assert u_intercept == pytest.approx(0.0029, abs=5e-5)
    assert fit.slope == pytest.approx(0.00218, abs=5e-6)
    assert u_slope == pytest.approx(0.00067, abs=5e-6)
    assert fit.covariance[0, 1] / (u_intercept * u_slope) == pytest.approx(-0.930, abs=5e-4)
    assert fit.residual_standard_deviation == pytest.approx(0.0035, abs=5e-5)


def test_a_constant_added_to_every_reading_changes_the_intercept_only() -> None:
    shifted = linefit.common_slope(MOMENTS, TANGENTS + 0.0005, ONE)
    assert gm(shifted.slope) == pytest.approx(0.950, rel=1e-12)
    assert shifted.intercepts[0] == pytest.approx(0.0005, rel=1e-10)


def test_a_steady_moment_on_one_side_passes_r_squared_but_not_the_residual_and_the_sides() -> None:
    one_sided = TANGENTS + np.where(MOMENTS > 0.0, 0.0020, 0.0)
    fit = linefit.common_slope(MOMENTS, one_sided, ONE)
    sides = linefit.side_slopes(MOMENTS, one_sided, ONE, np.arange(9))
    assert fit.slope == pytest.approx(4.3957115e-4, abs=5e-12)
    assert gm(fit.slope) == pytest.approx(0.909978, abs=5e-7)
    assert fit.r_squared == pytest.approx(0.99911338, abs=5e-9)
    assert np.max(np.abs(fit.residuals)) == pytest.approx(0.00066667, abs=5e-9)
    assert gm(sides.positive) == pytest.approx(0.8834, abs=5e-5)
    assert gm(sides.negative) == pytest.approx(0.9500, abs=1e-12)
    assert sides.difference_relative == pytest.approx((0.8833948 - 0.95) / ((0.8833948 + 0.95) / 2), abs=1e-6)


def test_the_zero_between_two_runs_belongs_to_both_sides() -> None:
    spoiled = TANGENTS.copy()
    spoiled[4] += 0.001
    sides = linefit.side_slopes(MOMENTS, spoiled, ONE, np.arange(9))
    assert gm(sides.positive) != pytest.approx(0.950, abs=1e-3)
    assert gm(sides.negative) != pytest.approx(0.950, abs=1e-3)


def test_a_zero_away_from_a_run_does_not_belong_to_its_side() -> None:
    spoiled = TANGENTS.copy()
    spoiled[8] += 0.001
    assert gm(linefit.side_slopes(MOMENTS, spoiled, ONE, np.arange(9)).positive) == pytest.approx(0.950, rel=1e-10)


def test_the_sides_follow_the_numbers_of_the_states_not_the_order_of_the_rows() -> None:
    one_sided = TANGENTS + np.where(MOMENTS > 0.0, 0.0020, 0.0)
    shuffled = np.random.default_rng(1).permutation(9)
    straight = linefit.side_slopes(MOMENTS, one_sided, ONE, np.arange(9))
    mixed = linefit.side_slopes(MOMENTS[shuffled], one_sided[shuffled], ONE, shuffled)
    assert mixed.positive == pytest.approx(straight.positive, rel=1e-12)
    assert mixed.negative == pytest.approx(straight.negative, rel=1e-12)


def test_a_test_to_one_side_only_has_no_other_side() -> None:
    sides = linefit.side_slopes([0.0, 30.0, 60.0], [0.0, 0.01, 0.02], [0, 0, 0], [1, 2, 3])
    assert sides.positive is not None
    assert sides.negative is None
    assert sides.difference_relative is None


def test_zero_drift_names_the_worst_return_of_each_instrument() -> None:
    drifts = linefit.zero_drift(HANSEN_MOMENTS, HANSEN_TANGENTS, HANSEN_PENDULUM, HANSEN_STATE)
    assert [d.group for d in drifts] == [0, 1, 2]
    assert [d.largest_departure for d in drifts] == pytest.approx([-0.00042, -0.00047, -0.00063])


def test_zero_drift_tells_the_last_return_from_the_largest() -> None:
    tangents = TANGENTS.copy()
    tangents[[0, 4, 8]] = [0.0001, 0.0009, 0.0003]
    (drift,) = linefit.zero_drift(MOMENTS, tangents, ONE, np.arange(9))
    assert drift.zeros == (0.0001, 0.0009, 0.0003)
    assert drift.last_minus_first == pytest.approx(0.0002)
    assert drift.largest_departure == pytest.approx(0.0008)


def test_a_perfect_line_has_no_scatter_and_no_suspicious_reading() -> None:
    fit = linefit.common_slope(MOMENTS, TANGENTS, ONE)
    assert fit.residual_standard_deviation < 1e-16
    assert np.all(fit.studentised_residuals == 0.0)
    bend = linefit.curvature(MOMENTS, TANGENTS, ONE)
    assert (bend.t_statistic, bend.p_value) == (0.0, 1.0)


def test_one_wrong_reading_among_perfect_ones_stands_out() -> None:
    tangents = TANGENTS.copy()
    tangents[3] += 0.001
    fit = linefit.common_slope(MOMENTS, tangents, ONE)
    assert np.argmax(np.abs(fit.studentised_residuals)) == 3
    assert np.all(np.isfinite(fit.studentised_residuals))


def test_studentised_residuals_are_absent_when_one_degree_of_freedom_is_left() -> None:
    fit = linefit.common_slope([0.0, 1.0, 2.0], [0.0, 1.1, 2.0], [0, 0, 0])
    assert fit.degrees_of_freedom == 1
    assert fit.studentised_residuals is None


@pytest.mark.parametrize(
    ("x", "y", "group", "code"),
    [
        ([0.0, 50.0, 50.0, 0.0], [0.0, 0.01, 0.01, 0.0], [0, 0, 0, 0], "too-few-moments"),
        ([5.0, 5.0, 5.0], [0.0, 0.01, 0.01], [0, 0, 0], "too-few-moments"),
        ([0.0, 1.0, 2.0], [0.0, 1.0, 2.0], [0, 1, 1], "too-few-readings"),
        ([0.0, 1.0, 2.0, 0.0, 1.0, 2.0], [0.0] * 6, [0, 1, 2, 0, 1, 2], "slope-undetermined"),
        ([0.0, 1.0, 2.0], [0.0, float("nan"), 2.0], [0, 0, 0], "readings-not-finite"),
        ([0.0, 1.0, 2.0], [0.0, 2.0], [0, 0, 0], "readings-unequal-length"),
    ],
)
def test_readings_that_cannot_carry_a_line_are_refused(
    x: list[float], y: list[float], group: list[int], code: str
) -> None:
    with pytest.raises(CoreError) as refused:
        linefit.common_slope(x, y, group)
    assert refused.value.code == code


def test_a_bend_needs_a_degree_of_freedom_more_than_a_line() -> None:
    with pytest.raises(CoreError) as refused:
        linefit.curvature([0.0, 1.0, 2.0], [0.0, 1.1, 2.0], [0, 0, 0])
    assert refused.value.code == "too-few-readings"


@settings(max_examples=50, deadline=None)
@given(seed=st.integers(0, 10_000), scale=st.floats(1e-3, 1e6), fixed=st.sets(st.integers(0, 2)))
def test_many_slopes_at_once_equal_one_fit_after_the_other(seed: int, scale: float, fixed: set[int]) -> None:
    rng = np.random.default_rng(seed)
    x = scale * rng.normal(size=(4, 12))
    y = rng.normal(size=(4, 12))
    group = np.concatenate([np.arange(3), rng.integers(0, 3, size=9)])
    at_once = linefit.slope_only(x, y, group, fixed)
    one_by_one = [linefit.common_slope(a, b, group, fixed).slope for a, b in zip(x, y, strict=True)]
    assert at_once == pytest.approx(one_by_one, rel=1e-7, abs=1e-9 / scale)


def test_one_set_of_moments_serves_many_sets_of_tangents() -> None:
    factors = np.array([[1.0, 2.0], [3.0, 4.0]])
    slopes = linefit.slope_only(MOMENTS, factors[..., np.newaxis] * TANGENTS, ONE)
    assert slopes == pytest.approx(factors / (2500.0 * 0.950))
