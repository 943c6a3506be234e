import doctest

import pytest
from heelwright_service.core import fuel
from heelwright_service.core.errors import CoreError
from hypothesis import given
from hypothesis import strategies as st


def test_examples_in_the_documentation_run() -> None:
    assert doctest.testmod(fuel).failed == 0


def test_at_fifteen_degrees_nothing_is_corrected() -> None:
    assert fuel.volume_correction_factor(0.850, 15.0) == 1.0
    assert fuel.density_at_temperature_t_per_m3(0.850, 15.0) == 0.850


@given(density=st.floats(0.70, 1.05), low=st.floats(-10.0, 90.0), step=st.floats(1.0, 50.0))
def test_warmer_fuel_is_lighter(density: float, low: float, step: float) -> None:
    cold = fuel.density_at_temperature_t_per_m3(density, low)
    assert fuel.density_at_temperature_t_per_m3(density, low + step) < cold


@given(density=st.floats(0.70, 1.05), temperature=st.floats(-15.0, 120.0))
def test_a_density_carried_to_fifteen_degrees_comes_back(density: float, temperature: float) -> None:
    # The bands of the published constants do not join exactly: at an edge two densities at 15 °C give one elsewhere.
    measured = fuel.density_at_temperature_t_per_m3(density, temperature)
    assert fuel.density_at_15c_t_per_m3(measured, temperature) == pytest.approx(density, abs=1e-4)


@pytest.mark.parametrize("edge", [0.7705, 0.7875, 0.8385])
def test_the_bands_of_density_join_within_the_rounding_of_the_printed_tables(edge: float) -> None:
    below, above = (fuel.volume_correction_factor(edge + step, 35.0) for step in (-1e-7, 1e-7))
    assert below == pytest.approx(above, abs=5e-5)


def test_lubricating_oil_expands_by_its_own_constant() -> None:
    # ASTM D 1250 (1980), table 54D: α = 0.6278/ρ; from memory.
    assert fuel.thermal_expansion_per_c(0.900, "lubricating-oil") == pytest.approx(0.6278 / 900.0)


@pytest.mark.parametrize("density", [0.6, 1.2, 850.0])
def test_a_density_that_no_fuel_has_is_refused(density: float) -> None:
    with pytest.raises(CoreError) as refused:
        fuel.thermal_expansion_per_c(density)
    assert refused.value.code == "fuel-density-outside-range"


def test_a_temperature_outside_the_equation_is_refused() -> None:
    with pytest.raises(CoreError) as refused:
        fuel.volume_correction_factor(0.850, 200.0)
    assert refused.value.code == "fuel-temperature-outside-range"


def test_api_gravity_and_density_are_inverse() -> None:
    density = fuel.density_at_60f_t_per_m3(35.0)
    assert fuel.api_gravity(density / fuel.WATER_AT_60F_T_PER_M3) == pytest.approx(35.0)


@pytest.mark.parametrize(
    ("call", "value", "code"),
    [(fuel.api_gravity, 0.0, "not-positive"), (fuel.density_at_60f_t_per_m3, -131.5, "api-gravity-too-low")],
)
def test_values_off_the_api_scale_are_refused(call: object, value: float, code: str) -> None:
    with pytest.raises(CoreError) as refused:
        call(value)  # type: ignore[operator]
    assert refused.value.code == code
