"""Where the weight between two lightships would have to be; the cases were worked out by hand for invented ships."""

from __future__ import annotations

import pytest
from heelwright_service.core.drift import Estimate, LightshipValues, StandardUncertainties
from heelwright_service.core.drift.differences import difference, implied_centre, implied_coordinate
from heelwright_service.core.drift.request import Basis
from heelwright_service.core.rules import RuleVessel
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat  # type: ignore[import-untyped]

SHIP = RuleVessel(kind="passenger", length_m=60.0, breadth_m=12.0)


def lightship(
    mass_t: float,
    vcg_m: float | None,
    mass_standard_t: float = 0.0,
    vcg_standard_m: float = 0.03,
    lcg_m: float = 28.0,
    tcg_m: float | None = None,
    basis: Basis = "inclining-test",
) -> LightshipValues:
    standard = StandardUncertainties(mass_standard_t, 0.05, 0.01, None if vcg_m is None else vcg_standard_m)
    return LightshipValues("2020-01-01", basis, mass_t, lcg_m, tcg_m, vcg_m, standard, "as stated")


@pytest.mark.parametrize(
    ("mass_t", "vcg_m", "centre_m", "standard_m", "remark"),
    [
        (1230.0, 6.05, 8.05, 1.72, "inside the ship, so weight is plausible"),
        (1230.0, 6.50, 26.5, 1.72, "above 3 times the VCG"),
        (1230.0, 5.80, -2.2, 1.72, "below the keel"),
    ],
)
def test_thirty_tonnes_gained_lie_where_the_moments_say(
    mass_t: float, vcg_m: float, centre_m: float, standard_m: float, remark: str
) -> None:
    # (W1 z1 - W0 z0)/(W1 - W0) from 1200 t at 6.00 m; 30 mm standard uncertainty of each height, masses exact
    found = implied_centre(lightship(mass_t, vcg_m), lightship(1200.0, 6.0), SHIP)
    assert found.centre_m is not None
    assert found.centre_m.z is not None
    assert found.centre_m.z.value == pytest.approx(centre_m, abs=1e-9)
    assert found.centre_m.z.standard == pytest.approx(standard_m, abs=5e-3)
    assert remark in found.remark
    assert found.error_likelier_than_weight == (centre_m != 8.05)


@pytest.mark.parametrize(("gain_t", "centre_m"), [(239.0, 24.4), (187.0, 27.9)])
def test_a_large_rise_of_kg_is_plausible_only_for_the_uppermost_decks(gain_t: float, centre_m: float) -> None:
    # pattern of a conversion, figures from memory: 5926 t at 11.27 m, KG up 0.51 m
    new, old = lightship(5926.0 + gain_t, 11.78), lightship(5926.0, 11.27)
    found = implied_centre(new, old, RuleVessel("passenger", 146.0))
    assert found.centre_m is not None
    assert found.centre_m.z is not None
    assert found.centre_m.z.value == pytest.approx(centre_m, abs=0.05)
    if gain_t == 239.0:
        assert found.centre_m.z.standard == pytest.approx(1.07, abs=5e-3)
    lower = implied_centre(new, old, RuleVessel("passenger", 146.0, top_z_m=22.0))
    assert lower.error_likelier_than_weight


@pytest.mark.parametrize("mass_t", [1200.0, 1209.9, 1190.1])
def test_a_mass_change_within_its_uncertainty_has_no_centre_and_says_so(mass_t: float) -> None:
    old, new = lightship(1200.0, 6.0, 3.0), lightship(mass_t, 6.5, 4.0)  # expanded uncertainty 2 x 5 t
    found = implied_centre(new, old, SHIP)
    assert found.centre_m is None
    assert found.remark.startswith("Undefined")
    assert not found.error_likelier_than_weight


def test_no_change_at_all_is_undefined_even_with_exact_masses() -> None:
    assert implied_centre(lightship(1200.0, 6.5), lightship(1200.0, 6.0), SHIP).centre_m is None


def test_just_over_twice_the_uncertainty_the_centre_is_given() -> None:
    assert implied_centre(lightship(1210.1, 6.0, 4.0), lightship(1200.0, 6.0, 3.0), SHIP).centre_m is not None


def test_a_survey_knows_no_height_but_a_place_along_the_ship() -> None:
    survey = lightship(1230.0, None, lcg_m=29.0, basis="lightweight-survey")
    found = implied_centre(survey, lightship(1200.0, 6.0), SHIP)
    assert found.centre_m is not None
    assert found.centre_m.z is None
    assert found.centre_m.x.value == pytest.approx((1230.0 * 29.0 - 1200.0 * 28.0) / 30.0)
    assert difference(survey, lightship(1200.0, 6.0)).vcg_m is None


@pytest.mark.parametrize(
    ("lcg_m", "tcg_m", "words"),
    [
        (27.0, 0.0, "abaft the aft perpendicular"),
        (30.0, 0.0, "beyond the bow"),
        (28.0, -0.2, "m to port, outside the breadth"),
        (28.0, 0.2, "m to starboard, outside the breadth"),
    ],
)
def test_a_place_beyond_the_ends_or_sides_points_to_an_error(lcg_m: float, tcg_m: float, words: str) -> None:
    new = lightship(1230.0, 6.05, lcg_m=lcg_m, tcg_m=tcg_m)
    found = implied_centre(new, lightship(1200.0, 6.0, tcg_m=0.0), SHIP)
    assert found.error_likelier_than_weight
    assert words in found.remark


def test_the_remark_says_whether_the_uncertainty_reaches_back_into_the_ship() -> None:
    sure = implied_centre(lightship(1230.0, 5.8, vcg_standard_m=0.01), lightship(1200.0, 6.0, 0.0, 0.01), SHIP)
    unsure = implied_centre(lightship(1230.0, 5.8, vcg_standard_m=0.03), lightship(1200.0, 6.0), SHIP)
    assert "beyond its uncertainty" in sure.remark
    assert "reaches into the ship" in unsure.remark


masses = st.floats(100.0, 60000.0)
heights = st.floats(-5.0, 40.0)


@settings(max_examples=60)
@given(mass_t=masses, vcg_m=heights, share=st.floats(0.01, 0.3), height_m=heights)
def test_a_weight_put_aboard_is_found_where_it_was_put(
    mass_t: float, vcg_m: float, share: float, height_m: float
) -> None:
    gained = share * mass_t
    after = (mass_t * vcg_m + gained * height_m) / (mass_t + gained)
    found = implied_coordinate(
        Estimate(mass_t + gained, 0.0), Estimate(after, 0.0), Estimate(mass_t, 0.0), Estimate(vcg_m, 0.0)
    )
    assert found.value == pytest.approx(height_m, abs=1e-9 * (1.0 + 1.0 / share))


@settings(max_examples=60)
@given(
    mass_t=masses,
    share=st.floats(0.02, 0.3),
    vcg_m=heights,
    rise_m=st.floats(-0.5, 0.5),
    mass_standard=st.floats(0.01, 50.0),
    height_standard=st.floats(0.001, 0.1),
)
def test_the_uncertainty_agrees_with_automatic_linear_propagation(
    mass_t: float, share: float, vcg_m: float, rise_m: float, mass_standard: float, height_standard: float
) -> None:
    # reference: the uncertainties package, first-order propagation of independent inputs
    new_mass, old_mass = ufloat(mass_t * (1 + share), mass_standard), ufloat(mass_t, 0.5 * mass_standard)
    new_z, old_z = ufloat(vcg_m + rise_m, height_standard), ufloat(vcg_m, 2.0 * height_standard)
    expected = (new_mass * new_z - old_mass * old_z) / (new_mass - old_mass)
    found = implied_coordinate(
        *(Estimate(each.nominal_value, each.std_dev) for each in (new_mass, new_z, old_mass, old_z))
    )
    assert found.value == pytest.approx(expected.nominal_value, rel=1e-9, abs=1e-9)
    assert found.standard == pytest.approx(expected.std_dev, rel=1e-9, abs=1e-9)


@settings(max_examples=40)
@given(factor=st.floats(0.1, 10.0), shift_m=st.floats(-50.0, 50.0))
def test_the_place_moves_with_the_origin_and_does_not_depend_on_the_unit_of_mass(factor: float, shift_m: float) -> None:
    plain = implied_coordinate(Estimate(1230, 4.0), Estimate(6.05, 0.03), Estimate(1200, 5.0), Estimate(6.0, 0.03))
    moved = implied_coordinate(
        Estimate(1230 * factor, 4.0 * factor),
        Estimate(6.05 + shift_m, 0.03),
        Estimate(1200 * factor, 5.0 * factor),
        Estimate(6.0 + shift_m, 0.03),
    )
    assert moved.value == pytest.approx(plain.value + shift_m, abs=1e-9)
    assert moved.standard == pytest.approx(plain.standard, rel=1e-9)
