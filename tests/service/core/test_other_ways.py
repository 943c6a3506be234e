import doctest
import math

import numpy as np
import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.other_ways import air_inclining, choice, in_air, roll_period, weighing
from scipy.optimize import brentq


@pytest.mark.parametrize("module", [air_inclining, choice, in_air, roll_period, weighing])
def test_examples_in_the_documentation_run(module: object) -> None:
    assert doctest.testmod(module).failed == 0  # type: ignore[arg-type]


# --- roll period: France, arrêté of 23 November 1987, division 227, articles 227-2.04 and 227-2.06


def test_a_period_as_long_as_the_breadth_gives_the_known_gm() -> None:
    assert roll_period.gm_from_roll_period(4.0, [40.0], [10]).gm_m == pytest.approx(0.7225)


def test_the_two_ways_of_stating_the_minimum_agree_within_a_millimetre() -> None:
    at_limit = roll_period.gm_from_roll_period(4.0, [40.64], [10]).gm_m
    assert at_limit == pytest.approx(0.69992, abs=5e-6)
    assert roll_period.meets_minimum_gm(at_limit)
    assert not roll_period.meets_minimum_gm(0.6989)


def test_a_roll_period_is_always_labelled_as_no_compliance() -> None:
    check = roll_period.gm_from_roll_period(4.0, [20.0, 40.0], [5, 10])
    assert "cannot show compliance" in check.label
    assert check.cautions


def test_too_few_oscillations_draw_a_caution_that_counts_them() -> None:
    short = roll_period.gm_from_roll_period(4.0, [36.0], [9])
    long = roll_period.gm_from_roll_period(4.0, [40.0], [10])
    assert len(short.cautions) == len(long.cautions) + 1
    assert "9 oscillations" in short.cautions[-1]


def test_scatter_between_runs_widens_the_uncertainty() -> None:
    steady = roll_period.gm_from_roll_period(4.0, [40.0, 40.0], [10, 10])
    unsteady = roll_period.gm_from_roll_period(4.0, [36.0, 44.0], [10, 10])
    assert steady.gm_m == pytest.approx(unsteady.gm_m)
    assert steady.standard_uncertainty_m == pytest.approx(2.0 * 0.08 * steady.gm_m)
    # two periods 3.6 and 4.4 s: standard error of the mean 0.4 s of 4.0
    assert unsteady.standard_uncertainty_m == pytest.approx(2.0 * unsteady.gm_m * math.hypot(0.08, 0.1))


@pytest.mark.parametrize(
    ("durations", "counts", "code"),
    [([], [], "no-timing"), ([40.0], [10, 10], "unequal-length"), ([0.0], [10], "not-positive")],
)
def test_timings_without_a_period_are_refused(durations: list[float], counts: list[int], code: str) -> None:
    with pytest.raises(CoreError) as refused:
        roll_period.gm_from_roll_period(4.0, durations, counts)
    assert refused.value.code == code


# --- load cells


def loads_under(mass: float, x: float, y: float) -> list[weighing.LoadCell]:
    """Three supports carry a body in one way only: moments and forces balance."""
    places = [(1.0, 0.0), (7.0, -1.5), (7.0, 1.5)]
    matrix = np.array([[1.0, 1.0, 1.0], [p[0] for p in places], [p[1] for p in places]])
    loads = np.linalg.solve(matrix, mass * np.array([1.0, x, y]))
    return [weighing.LoadCell(px, py, float(f), 0.002) for (px, py), f in zip(places, loads, strict=True)]


def test_the_centre_of_a_body_on_three_supports_is_recovered() -> None:
    craft = weighing.weigh(loads_under(8.5, 5.2, 0.03))
    assert (craft.mass_t, craft.lcg_m, craft.tcg_m) == pytest.approx((8.5, 5.2, 0.03))


def test_the_cradle_is_taken_off() -> None:
    craft = (7.0, 5.5, 0.02)
    cradle = weighing.Tare(1.5, 4.0, -0.1)
    both = 8.5
    x, y = ((7.0 * c + 1.5 * t) / both for c, t in ((5.5, 4.0), (0.02, -0.1)))
    found = weighing.weigh(loads_under(both, x, y), [cradle])
    assert (found.mass_t, found.lcg_m, found.tcg_m) == pytest.approx(craft)


def test_a_shared_calibration_error_does_not_move_the_centre_of_an_untared_craft() -> None:
    cells = [weighing.LoadCell(1.0, 0.0, 4.0), weighing.LoadCell(7.0, 0.0, 6.0)]
    exact = weighing.weigh(cells, position_standard_uncertainty_m=0.0, calibration_relative=0.01)
    assert exact.mass_standard_uncertainty_t == pytest.approx(0.1)
    assert exact.lcg_standard_uncertainty_m == pytest.approx(0.0, abs=1e-12)


def test_the_uncertainties_of_a_weighing_agree_with_a_simulation() -> None:
    cells = [weighing.LoadCell(1.0, -0.8, 3.1, 0.010), weighing.LoadCell(7.0, 0.9, 5.2, 0.012)]
    tare = weighing.Tare(1.1, 4.4, 0.2, 0.030, 0.050)
    found = weighing.weigh(cells, [tare], position_standard_uncertainty_m=0.02, calibration_relative=0.003)
    rng = np.random.default_rng(7)
    n = 200_000
    scale = 1.0 + 0.003 * rng.normal(size=n)
    loads = [scale * (c.load_t + c.standard_uncertainty_t * rng.normal(size=n)) for c in cells]
    places = [c.x_m + 0.02 * rng.normal(size=n) for c in cells]
    tare_mass, tare_x = 1.1 + 0.030 * rng.normal(size=n), 4.4 + 0.050 * rng.normal(size=n)
    mass = sum(loads) - tare_mass
    lcg = (sum(f * x for f, x in zip(loads, places, strict=True)) - tare_mass * tare_x) / mass
    assert found.mass_standard_uncertainty_t == pytest.approx(float(np.std(mass)), rel=0.02)
    assert found.lcg_standard_uncertainty_m == pytest.approx(float(np.std(lcg)), rel=0.02)


@pytest.mark.parametrize(
    ("cells", "tares", "code"),
    [
        ([], [], "too-few-cells"),
        ([weighing.LoadCell(0.0, 0.0, 1.0)], [weighing.Tare(1.0, 0.0, 0.0)], "nothing-left"),
        ([weighing.LoadCell(0.0, 0.0, -1.0)], [], "load-negative"),
    ],
)
def test_weighings_without_a_craft_are_refused(
    cells: list[weighing.LoadCell], tares: list[weighing.Tare], code: str
) -> None:
    with pytest.raises(CoreError) as refused:
        weighing.weigh(cells, tares)
    assert refused.value.code == code


# --- inclined in air


def hanging_angle(mass: float, kg: float, pivot: float, moment: float) -> float:
    """Angle at which the moments of a body and of its shifted weight about the pivot vanish, found by force alone."""

    def about_pivot(angle: float) -> float:
        arm_of_body = (kg - pivot) * math.sin(angle)
        arm_of_shift = moment / mass * math.cos(angle)
        return mass * (arm_of_body + arm_of_shift)

    return float(brentq(about_pivot, -1.5, 1.5, xtol=1e-14))


def swing_of(mass: float, kg: float, pivot: float, moments: list[float]) -> in_air.Swing:
    tangents = [math.tan(hanging_angle(mass, kg, pivot, m)) for m in moments]
    return in_air.Swing(mass, pivot, moments, tangents, [0] * len(moments))


@pytest.mark.parametrize("largest", [0.2, 3.0])
def test_a_hung_craft_shows_its_centre_at_small_and_large_angles(largest: float) -> None:
    swing = swing_of(6.0, 1.35, 4.1, [0.0, largest, 0.0, -largest, 0.0])
    found = in_air.vcg_in_air(swing)
    assert found.vcg_m == pytest.approx(1.35, abs=1e-9)
    assert found.below_pivot_m == pytest.approx(2.75, abs=1e-9)


def test_an_arbitrary_zero_of_the_instrument_does_not_matter() -> None:
    swing = swing_of(6.0, 1.35, 4.1, [0.0, 0.2, 0.0, -0.2, 0.0])
    shifted = in_air.Swing(6.0, 4.1, swing.moments_t_m, [t + 0.003 for t in swing.tangents], swing.instruments)
    assert in_air.vcg_in_air(shifted).vcg_m == pytest.approx(1.35, abs=1e-9)


def test_weights_and_cradle_are_taken_off_the_swinging_whole() -> None:
    craft, weights, beam = (5.0, 1.2), (0.3, 1.9), (0.7, 3.8)
    mass = craft[0] + weights[0] + beam[0]
    kg = sum(m * z for m, z in (craft, weights, beam)) / mass
    swing = swing_of(mass, kg, 4.1, [0.0, 0.2, 0.0, -0.2, 0.0])
    found = in_air.vcg_in_air(swing, [in_air.Attached(*weights), in_air.Attached(*beam)])
    assert found.vcg_m == pytest.approx(1.2, abs=1e-9)
    assert found.swinging_vcg_m == pytest.approx(kg, abs=1e-9)


def test_the_uncertainty_of_a_swing_agrees_with_a_simulation() -> None:
    swing = swing_of(6.0, 1.35, 4.1, [0.0, 0.2, 0.0, -0.2, 0.0])
    gear = in_air.Attached(0.8, 3.5, 0.02, 0.03)
    doubt = in_air.SwingUncertainty(0.004, 0.002, 0.003, 0.001)
    found = in_air.vcg_in_air(swing, [gear], doubt)
    rng = np.random.default_rng(11)
    n = 200_000
    mass, pivot = 6.0 * (1.0 + 0.002 * rng.normal(size=n)), 4.1 + 0.004 * rng.normal(size=n)
    moment = 0.2 * (1.0 + 0.003 * rng.normal(size=n))
    tangent = swing.tangents[1] / (1.0 + 0.001 * rng.normal(size=n))
    gear_mass, gear_z = 0.8 + 0.02 * rng.normal(size=n), 3.5 + 0.03 * rng.normal(size=n)
    vcg = (mass * pivot - moment / tangent - gear_mass * gear_z) / (mass - gear_mass)
    assert found.standard_uncertainty_m == pytest.approx(float(np.std(vcg)), rel=0.02)


def test_a_craft_that_tilts_away_from_the_weight_is_refused() -> None:
    with pytest.raises(CoreError) as refused:
        in_air.vcg_in_air(in_air.Swing(6.0, 4.1, [0.0, 0.2, -0.2, 0.0], [0.0, -0.01, 0.01, 0.0], [0] * 4))
    assert refused.value.code == "swing-reversed"


def test_gear_heavier_than_the_whole_is_refused() -> None:
    with pytest.raises(CoreError) as refused:
        in_air.vcg_in_air(swing_of(6.0, 1.35, 4.1, [0.0, 0.2, 0.0, -0.2]), [in_air.Attached(6.0, 1.0)])
    assert refused.value.code == "nothing-left"


def test_hooks_of_different_height_make_a_sloping_axis() -> None:
    assert in_air.pivot_height_m(2.0, 5.0, 8.0, 5.6, 2.0) == pytest.approx(5.0)
    assert in_air.pivot_height_m(2.0, 5.0, 8.0, 5.6, 6.0) == pytest.approx(5.4)
    with pytest.raises(CoreError):
        in_air.pivot_height_m(2.0, 5.0, 2.0, 5.6, 6.0)


# --- when inclining is a poor instrument: 2000 HSC Code 2.7.2


@pytest.mark.parametrize(("kg", "gm", "allowed"), [(2.00, 6.50, True), (2.20, 6.50, False), (2.0, 6.0, False)])
def test_kg_below_a_third_of_gm_opens_the_way_to_calculation(kg: float, gm: float, allowed: bool) -> None:
    assert choice.compare_instruments(kg, gm, 0.05, 0.05).calculation_allowed is allowed


def test_the_predicted_uncertainty_decides_which_way_is_better() -> None:
    _, inclining = choice.kg_uncertainty_of_inclining_m(20.0, 0.004, 0.003, 0.020)
    assert inclining == pytest.approx(math.hypot(0.100, 0.020))
    assert choice.compare_instruments(2.0, 20.0, inclining, 0.05).better == "other"
    assert choice.compare_instruments(2.0, 20.0, inclining, 0.15).better == "inclining"


def test_the_uncertainties_of_gm_and_kg_add_in_quadrature() -> None:
    # Computed for this project: u(GM) 4.750 mm, u(KG) 7.521 mm, expanded (k = 2) 15.042 mm.
    of_gm, of_kg = choice.kg_uncertainty_of_inclining_m(0.95, 0.004, 0.003, 0.005, 0.003)
    assert 1000.0 * of_gm == pytest.approx(4.750, abs=5e-4)
    assert 1000.0 * of_kg == pytest.approx(7.521, abs=5e-4)
    assert 2000.0 * of_kg == pytest.approx(15.042, abs=1e-3)
