"""Numbers and signs as people read them."""

from __future__ import annotations

import pytest
from heelwright_client import words
from heelwright_client.units import SI, US, US_DECIMAL
from hypothesis import given
from hypothesis import strategies as st


@pytest.mark.parametrize(
    ("half_width", "decimals"),
    [(0.023, 3), (0.0999, 2), (0.0994, 3), (1.0, 1), (4.14, 1), (9.96, 0), (12.0, 0), (310.0, -1), (0.00052, 5)],
)
def test_two_digits_of_the_interval_decide_the_decimals(half_width: float, decimals: int) -> None:
    assert words.decimals_for(half_width) == decimals


@pytest.mark.parametrize(
    ("value", "half_width", "text"),
    [
        # JCGM 100:2008, 7.2.6: an estimate is rounded to agree with its uncertainty (10.057 62 Ω with 27 mΩ: 10.058 Ω).
        (10.05762, 0.027, "10.058"),
        (1204.37, 7.9, "1\u202f204.4"),
        (1204.37, 79.0, "1\u202f204"),
        (12345.0, 790.0, "12\u202f340"),
        (5.0, None, "5.000"),
        (5.0, 0.0, "5.000"),
        (-0.0001, 0.02, "0.000"),
        (-1.25, 0.11, "\u22121.25"),
    ],
)
def test_a_number_is_rounded_by_its_interval(value: float, half_width: float | None, text: str) -> None:
    assert words.rounded_by(value, half_width) == text


def test_thousands_are_parted_by_a_thin_space() -> None:
    assert words.number(1234567.891, 2) == "1\u202f234\u202f567.89"


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.42, "0.42 m by the stern"), (-0.42, "0.42 m by the bow"), (0.004, "on an even keel"), (0.0, "on an even keel")],
)
def test_trim_is_told_in_words(value: float, text: str) -> None:
    assert words.trim(value) == text


@pytest.mark.parametrize(("value", "text"), [(1.3, "1.3° to starboard"), (-1.3, "1.3° to port"), (-0.04, "upright")])
def test_heel_is_told_in_words(value: float, text: str) -> None:
    assert words.heel(value) == text


@pytest.mark.parametrize(("value", "text"), [(0.015, "0.015 m S"), (-0.015, "0.015 m P"), (0.0, "0.000 m")])
def test_an_offset_has_the_letter_of_its_side(value: float, text: str) -> None:
    assert words.offset(value) == text


def test_what_is_not_known_is_not_zero() -> None:
    assert words.height(None) == words.offset(None) == words.change("vcg_m", None) == "not known"


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("mass_t", 31.0, "31.0 t heavier"),
        ("mass_t", -31.0, "31.0 t lighter"),
        ("lcg_m", -0.1, "0.100 m aft"),
        ("vcg_m", 0.0521, "0.052 m higher"),
        ("tcg_m", -0.01, "0.010 m to port"),
    ],
)
def test_a_change_says_which_way(name: str, value: float, text: str) -> None:
    assert words.change(name, value) == text


def test_us_units_show_draughts_in_feet_and_inches_and_centres_in_decimal_feet() -> None:
    assert words.draught(2.0, US) == "6 ft 6 3/4 in"
    assert words.trim(0.127, US) == "0 ft 5 in by the stern"
    assert words.height(3.048, US) == "10.000 ft above base"
    assert words.draught(3.048, US_DECIMAL) == "10.000 ft"
    assert words.quantity(1016.0469088, "mass", system=US, decimals=1) == "1\u202f000.0 LT"


def test_an_interval_is_converted_with_its_value() -> None:
    assert words.quantity(3.048, "length", system=US, half_width=0.03048) == "10.00 ft"


@given(st.floats(-1e5, 1e5), st.floats(1e-4, 1e3))
def test_no_text_for_people_shows_a_bare_sign(value: float, half_width: float) -> None:
    for text in (words.trim(value, SI, half_width), words.heel(value, half_width), words.change("lcg_m", value)):
        assert "-" not in text
        assert "\u2212" not in text


@given(st.floats(-1e5, 1e5), st.floats(1e-4, 1e2))
def test_rounding_moves_a_value_by_less_than_a_tenth_of_its_interval(value: float, half_width: float) -> None:
    shown = words.rounded_by(value, half_width).replace("\u202f", "").replace("\u2212", "-")
    assert abs(float(shown) - value) <= 0.0501 * half_width + 1e-9
