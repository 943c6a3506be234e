"""Units at the edge, against their exact definitions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from heelwright_client.errors import EntryError
from heelwright_client.units import SYSTEMS, UNITS, convert, feet_and_inches, named_unit, parse_quantity
from hypothesis import given
from hypothesis import strategies as st

# Federal Register 59-5442 (1959): 1 yd = 0.9144 m, 1 lb = 0.45359237 kg.
# NIST Handbook 44, appendix C: 1 long ton = 2240 lb.
FOOT = Fraction(9144, 30000)
POUND_T = Fraction(45359237, 10**11)
LONG_TON_T = 2240 * POUND_T
EXACT = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "ft": FOOT,
    "in": FOOT / 12,
    "t": Fraction(1),
    "kg": Fraction(1, 1000),
    "LT": LONG_TON_T,
    "lb": POUND_T,
    "t·m": Fraction(1),
    "LT·ft": LONG_TON_T * FOOT,
    "m²": Fraction(1),
    "ft²": FOOT**2,
    "m³": Fraction(1),
    "ft³": FOOT**3,
    "t/m³": Fraction(1),
    "kg/m³": Fraction(1, 1000),
    "LT/ft³": LONG_TON_T / FOOT**3,
    "lb/ft³": POUND_T / FOOT**3,
    "°": Fraction(1),
    "deg": Fraction(1),
    "t/cm": Fraction(1),
    "LT/in": LONG_TON_T / (FOOT / 12 * 100),
    "t·m/cm": Fraction(1),
    "LT·ft/in": LONG_TON_T * FOOT / (FOOT / 12 * 100),
}


def test_every_unit_is_checked_against_its_definition() -> None:
    assert set(EXACT) == set(UNITS)


@pytest.mark.parametrize("symbol", list(EXACT))
def test_a_factor_is_the_exact_one(symbol: str) -> None:
    assert UNITS[symbol].to_si == pytest.approx(float(EXACT[symbol]), rel=1e-15, abs=0.0)


def test_the_table_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        UNITS["ton"] = UNITS["t"]  # type: ignore[index]  # the point of the test


def test_salt_water_of_thirty_five_cubic_feet_a_long_ton_has_the_density_that_handbooks_give() -> None:
    # 35 ft³/LT is the handbook round figure for sea water; 1.0252 t/m³ follows from the exact factors.
    assert convert(1 / 35, "LT/ft³", "t/m³") == pytest.approx(1.02519, abs=5e-5)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("12.5 m", 12.5),
        ("12 ft 6 in", 3.81),
        ("12'6\"", 3.81),
        ("12'-6 1/2\"", 3.8227),
        ("12 ft", 3.6576),
        ("6 1/4 in", 0.15875),
        ("-0.25 ft", -0.0762),
        ("−3 mm", -0.003),
        (".5 m", 0.5),
    ],
)
def test_a_length_is_read_with_its_unit(text: str, metres: float) -> None:
    assert parse_quantity(text, "length") == pytest.approx(metres, abs=1e-12)


def test_a_long_ton_is_read_as_tonnes() -> None:
    assert parse_quantity("1180 LT", "mass") == pytest.approx(1198.935352384, abs=1e-9)


@pytest.mark.parametrize("text", ["12", "12.5", "", "m", "12 ton", "3 tons", "2 T", "5 mt", "1 ST", "12 stone"])
def test_a_mass_without_a_clear_unit_is_refused(text: str) -> None:
    with pytest.raises(EntryError):
        parse_quantity(text, "mass")


@pytest.mark.parametrize("text", ["12 t", "1,5 m", "1 m 2 ft", "2 in 3 ft", "1/0 in", "1 1/0 in", "nan m", "9**9**9 m"])
def test_what_is_not_a_length_is_refused(text: str) -> None:
    with pytest.raises(EntryError):
        parse_quantity(text, "length")


def test_an_endless_entry_is_refused_at_once() -> None:
    with pytest.raises(EntryError, match="1000000 characters"):
        parse_quantity("1" * 1_000_000, "length")


def test_a_refusal_says_what_to_write_instead() -> None:
    with pytest.raises(EntryError, match="write t, LT or lb"):
        named_unit("ton")


def test_units_of_different_dimensions_do_not_convert() -> None:
    with pytest.raises(EntryError, match="unit of mass"):
        convert(1.0, "t", "m")


@pytest.mark.parametrize(
    ("metres", "text"),
    [(3.81, "12 ft 6 in"), (0.0, "0 ft 0 in"), (0.3048, "1 ft 0 in"), (0.30479, "1 ft 0 in"), (2.0, "6 ft 6 3/4 in")],
)
def test_feet_and_inches_carry_over_into_feet(metres: float, text: str) -> None:
    assert feet_and_inches(metres) == text


@given(st.floats(0.0, 500.0))
def test_feet_and_inches_read_back_within_half_an_eighth(metres: float) -> None:
    assert parse_quantity(feet_and_inches(metres), "length") == pytest.approx(metres, abs=0.0254 / 16 + 1e-9)


@given(st.floats(-1e6, 1e6), st.sampled_from([("t", "LT"), ("m", "ft"), ("t·m", "LT·ft"), ("t/cm", "LT/in")]))
def test_there_and_back_is_the_same_number(value: float, pair: tuple[str, str]) -> None:
    there, back = pair
    assert convert(convert(value, there, back), back, there) == pytest.approx(value, rel=1e-15, abs=1e-300)


def test_every_system_names_a_unit_of_the_right_dimension() -> None:
    for system in SYSTEMS.values():
        for dimension in system.units:
            assert system.unit(dimension).dimension == dimension
