import doctest
from dataclasses import replace

import numpy as np
import pytest
from heelwright_service.core import sea_water, water
from heelwright_service.core.errors import CoreError
from heelwright_service.core.prepared_test import prepare_test
from heelwright_service.core.record import Water, WaterSample
from hypothesis import given
from hypothesis import strategies as st

from tests.reference.records import inclining_record
from tests.support.hulls import box_contour, prism_document


@pytest.mark.parametrize("module", [water, sea_water])
def test_examples_in_the_documentation_run(module: object) -> None:
    assert doctest.testmod(module).failed == 0  # type: ignore[arg-type]


def pure_water_by_the_weights_and_measures_committee(t: float) -> float:
    """Tanaka and others, Metrologia 38 (2001) 301-309, recommended by CIPM; from memory."""
    a1, a2, a3, a4, a5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950
    return a5 * (1.0 - (t + a1) ** 2 * (t + a2) / (a3 * (t + a4))) / 1000.0


def pure_water_by_kell(t: float) -> float:
    """Kell, Journal of Chemical and Engineering Data 20 (1975) 97-105; from memory."""
    top = np.polyval([-280.54253e-12, 105.56302e-9, -46.170461e-6, -7.9870401e-3, 16.945176, 999.83952], t)
    return float(top / (1.0 + 16.879850e-3 * t)) / 1000.0


@pytest.mark.parametrize("t", [0.0, 4.0, 10.0, 15.0, 15.56, 20.0, 30.0, 40.0])
def test_pure_water_agrees_with_two_independent_equations(t: float) -> None:
    density = sea_water.density_at_absolute_salinity_t_per_m3(0.0, t)
    assert density == pytest.approx(pure_water_by_the_weights_and_measures_committee(t), abs=1.5e-6)
    assert density == pytest.approx(pure_water_by_kell(t), abs=1.0e-5)


def test_standard_sea_water_and_fresh_water_have_the_densities_of_the_towing_tank_guideline() -> None:
    # ITTC 7.5-02-01-03 (2011), standard sea water of 35.16504 g/kg; figures from memory.
    assert sea_water.density_at_absolute_salinity_t_per_m3(35.16504, 15.0) == pytest.approx(1.0260, abs=5e-5)
    assert sea_water.density_at_absolute_salinity_t_per_m3(0.0, 15.0) == pytest.approx(0.9991026, abs=5e-8)


@given(salinity=st.floats(0.0, 42.0), t=st.floats(0.0, 35.0))
def test_both_equations_of_state_agree_to_a_hundredth_of_a_kilogram(salinity: float, t: float) -> None:
    by_teos = sea_water.sea_water_density_t_per_m3(salinity, t)
    assert sea_water.density_eos80_t_per_m3(salinity, t) == pytest.approx(by_teos, abs=3e-5)


def test_a_density_carried_to_another_temperature_and_back_is_unchanged() -> None:
    there = sea_water.density_at_other_temperature_t_per_m3(1.0123, 21.0, 4.0)
    back = sea_water.density_at_other_temperature_t_per_m3(there, 4.0, 21.0)
    assert back == pytest.approx(1.0123, abs=1e-9)


def test_carrying_a_density_keeps_its_salinity() -> None:
    warm, cold = (sea_water.density_at_absolute_salinity_t_per_m3(30.0, t) for t in (22.0, 8.0))
    assert sea_water.density_at_other_temperature_t_per_m3(warm, 22.0, 8.0) == pytest.approx(cold, abs=1e-9)


def test_water_read_a_little_lighter_than_pure_is_carried_with_pure_water() -> None:
    pure = sea_water.density_at_absolute_salinity_t_per_m3
    carried = sea_water.density_at_other_temperature_t_per_m3(0.9985, 15.0, 5.0)
    assert carried == pytest.approx(0.9985 * pure(0.0, 5.0) / pure(0.0, 15.0))


@pytest.mark.parametrize("density", [0.990, 1.045])
def test_a_density_that_no_water_has_is_refused(density: float) -> None:
    with pytest.raises(CoreError) as refused:
        sea_water.density_at_other_temperature_t_per_m3(density, 15.0, 5.0)
    assert refused.value.code == "density-not-of-water"


def test_temperatures_outside_the_equation_are_refused() -> None:
    with pytest.raises(CoreError) as refused:
        sea_water.sea_water_density_t_per_m3(35.0, 45.0)
    assert refused.value.code == "temperature-outside-range"


@given(density=st.floats(0.96, 1.09))
def test_air_and_vacuum_are_inverse(density: float) -> None:
    assert water.vacuum_from_air_t_per_m3(water.air_from_vacuum_t_per_m3(density)) == pytest.approx(density, abs=1e-12)


def test_the_density_in_vacuum_is_about_a_tenth_of_a_per_cent_more() -> None:
    # 0.0011 kg/l in draught survey practice; about 0.1 % of the displacement.
    assert water.vacuum_from_air_t_per_m3(1.024) - 1.024 == pytest.approx(0.0011, abs=1e-4)
    assert water.basis_mix_up_t(1000.0, 1.025) == pytest.approx(1.0, abs=0.1)


def test_a_litre_weighed_in_air_gives_the_apparent_density() -> None:
    # A balance compares buoyed weights: (rho - rho_air)·V against m·(1 - rho_air/rho_weights).
    volume, rho, air, weights = 1.0e-3, 1025.0, 1.2, 8000.0
    shown = (rho - air) * volume / (1.0 - air / weights)
    assert water.air_from_vacuum_t_per_m3(1.025) == pytest.approx(shown / volume / 1000.0, rel=1e-12)


def test_the_same_reading_means_different_densities_by_the_type_on_the_glass() -> None:
    in_vacuum = water.hydrometer_density_t_per_m3(1.025, water.Hydrometer("density"))
    in_air = water.hydrometer_density_t_per_m3(1.025, water.Hydrometer("apparent-density"))
    relative = water.hydrometer_density_t_per_m3(1.025, water.Hydrometer("relative-density", reference_water_c=15.0))
    assert in_vacuum == 1.025
    assert in_air - in_vacuum == pytest.approx(0.00105, abs=1e-5)
    assert relative == pytest.approx(1.025 * 0.9991026, abs=1e-7)


def test_a_relative_density_without_its_reference_temperature_is_refused() -> None:
    with pytest.raises(CoreError) as refused:
        water.hydrometer_density_t_per_m3(1.025, water.Hydrometer("relative-density"))
    assert refused.value.code == "reference-water-missing"
    assert refused.value.pointer == "/hydrometer/reference_water_c"


def test_a_reading_in_kilograms_is_not_guessed() -> None:
    with pytest.raises(CoreError) as refused:
        water.hydrometer_density_t_per_m3(1025.0, water.Hydrometer("density"))
    assert refused.value.code == "reading-out-of-range"


def test_warm_glass_is_larger_and_reads_too_high() -> None:
    # ISO 1768:1975, conventional expansion 0.000025 per degree: 10 °C are 0.00026 t/m³ at 1.025.
    glass = water.Hydrometer("density", calibrated_at_c=15.0)
    assert 1.025 - water.hydrometer_density_t_per_m3(1.025, glass, 25.0) == pytest.approx(0.000256, abs=1e-6)
    assert water.hydrometer_density_t_per_m3(1.025, glass, 15.0) == 1.025


def test_samples_in_air_are_carried_to_vacuum_before_they_are_averaged() -> None:
    samples = [WaterSample(1.0230), WaterSample(1.0250)]
    found = water.summarise_water(Water(samples, "air"))
    assert found.density_t_per_m3 == pytest.approx(water.vacuum_from_air_t_per_m3(1.0240))
    assert found.weighting == "plain mean"


def test_a_thin_fresh_layer_counts_for_its_thickness_only() -> None:
    samples = [WaterSample(1.000, depth_m=0.2), WaterSample(1.025, depth_m=0.8), WaterSample(1.025, depth_m=4.0)]
    found = water.summarise_water(Water(samples), draught_m=5.0)
    assert found.weighting == "depth cells"
    assert found.density_t_per_m3 == pytest.approx((0.5 * 1.000 + 4.5 * 1.025) / 5.0)
    assert found.spread_matters


@pytest.mark.parametrize(("depths", "draught"), [((1.0, 1.0), 5.0), ((1.0, None), 5.0), ((1.0, 3.0), None)])
def test_samples_that_do_not_tell_layers_apart_are_averaged_plainly(
    depths: tuple[float | None, ...], draught: float | None
) -> None:
    samples = [WaterSample(1.0 + 0.01 * i, depth_m=d) for i, d in enumerate(depths)]
    assert water.summarise_water(Water(samples), draught).weighting == "plain mean"


@given(depths=st.lists(st.floats(0.0, 20.0), min_size=1, max_size=8), draught=st.floats(0.5, 20.0))
def test_depth_cells_share_out_the_whole_draught(depths: list[float], draught: float) -> None:
    weights = water.depth_cell_weights(depths, draught)
    assert weights.sum() == pytest.approx(1.0)
    assert np.all(weights >= 0.0)


def test_samples_of_the_same_depth_share_their_cell() -> None:
    assert water.depth_cell_weights([1.0, 1.0, 3.0], 4.0).tolist() == [0.25, 0.25, 0.5]


def test_a_sample_far_below_the_keel_stands_for_no_water_that_carries() -> None:
    assert water.depth_cell_weights([1.0, 2.0, 30.0], 4.0).tolist() == [0.375, 0.625, 0.0]


@pytest.mark.parametrize(("spread", "matters"), [(0.0020, False), (0.0021, True)])
def test_a_spread_over_two_kilograms_matters(spread: float, matters: bool) -> None:
    found = water.summarise_water(Water([WaterSample(1.010), WaterSample(1.010 + spread)]))
    assert found.spread_t_per_m3 == pytest.approx(spread)
    assert found.spread_matters is matters


def test_no_sample_is_no_density() -> None:
    with pytest.raises(CoreError) as refused:
        water.summarise_water(Water([]))
    assert refused.value.code == "no-water-samples"


def test_a_sample_in_the_wrong_unit_is_named() -> None:
    with pytest.raises(CoreError) as refused:
        water.summarise_water(Water([WaterSample(1.010), WaterSample(1010.0)]))
    assert refused.value.pointer == "/water/samples/1/density_t_per_m3"


def test_a_reduction_weights_stratified_samples_by_their_share_of_the_draught() -> None:
    record = inclining_record(
        prism_document(box_contour(12.0, 8.0), 50.0), 50.0, 2400.0, 1.0, [0.0, 50.0, -50.0], [0.0, 0.02, -0.02]
    )
    assert prepare_test(record).density_t_per_m3 == pytest.approx(1.0)
    layers = [WaterSample(1.000, depth_m=0.5), WaterSample(1.020, depth_m=1.5)]
    assert prepare_test(replace(record, water=Water(layers))).density_t_per_m3 == pytest.approx(
        0.25 * 1.000 + 0.75 * 1.020
    )
