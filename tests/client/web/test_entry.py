"""Between typed texts and the service's documents: units, sides, rows; nothing is guessed."""

from __future__ import annotations

import pytest
from heelwright_client.errors import EntryError, refusal
from heelwright_client.units import SI, US, US_DECIMAL, System
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Rows
from heelwright_client.web.typed import text_of, value_of
from hypothesis import given
from hypothesis import strategies as st

LENGTH = Field("x_m", "Along", "quantity", "length")
MASS = Field("mass_t", "Mass", "quantity", "mass", required=True)
SIDE = Field("y_m", "Across", "side", "length")
WHEN = Field("at", "At", "moment")
TABLE = Rows("rows", "Rows", (Field("x_m", "Along", "quantity", "length"), Field("count", "How many", "count"),
                              Field("kind", "Kind", "choice", options=(("a", "A"), ("b", "B")))))  # fmt: skip


@pytest.mark.parametrize(
    ("text", "system", "metres"),
    [
        ("12.5", SI, 12.5),
        ("10", US, 3.048),  # the international foot, Federal Register 59-5442
        ("10", US_DECIMAL, 3.048),
        ("12 ft 6 in", SI, 3.81),
        ("250 mm", US, 0.25),
        ("−1.5", SI, -1.5),
        ("1e1", SI, 10.0),
    ],
)
def test_a_bare_number_is_in_the_shown_unit_and_a_written_unit_beats_it(text: str, system: System, metres: float):
    assert value_of(LENGTH, text, system) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("3.5 P", -3.5),
        ("3.5 S", 3.5),
        ("3.5p", -3.5),
        ("2 starboard", 2.0),
        ("2 port", -2.0),
        ("0", 0.0),
        ("1 ft S", 0.3048),
    ],
)
def test_a_side_is_a_letter_and_never_a_sign(text: str, metres: float):
    assert value_of(SIDE, text, SI) == pytest.approx(metres)


@pytest.mark.parametrize("text", ["3.5", "-3.5", "-3.5 P", "P", "3.5 X", "3,5 P"])
def test_a_side_that_is_not_said_is_asked_for(text: str):
    with pytest.raises(EntryError):
        value_of(SIDE, text, SI)


@pytest.mark.parametrize("text", ["12,5", "1,250", "twelve", "12 stone", "5 ton", "nan", "inf", "1e", "--1"])
def test_what_could_mean_two_things_is_refused(text: str):
    with pytest.raises(EntryError):
        value_of(LENGTH, text, SI)


@given(st.floats(-1e6, 1e6).map(lambda x: round(x, 6)), st.sampled_from([SI, US_DECIMAL]))
def test_a_value_written_out_and_read_again_is_the_same(value: float, system: System):
    for field in (LENGTH, SIDE):
        text = text_of(field, value, system)
        assert value_of(field, text, system) == pytest.approx(value, rel=1e-6, abs=1e-9)


def test_a_form_typed_in_other_units_keeps_its_meaning_when_the_units_change():
    entry = Entry.of_form([LENGTH, MASS], {"units": "si", "x_m": "3.048", "mass_t": "1.0160469088"}, US)
    assert entry.values == {"x_m": 3.048, "mass_t": 1.0160469088}
    assert entry.texts == {"x_m": "10", "mass_t": "1"}


def test_rows_left_empty_do_not_count_and_the_rest_close_up():
    form = {"rows.0.kind": "a", "rows.3.x_m": "7", "rows.3.kind": "b", "rows.1.x_m": " ", "rows.5.x_m": "9"}
    entry = Entry.of_form([TABLE], form, SI)
    assert entry.document() == {"rows": [{"x_m": 7.0, "kind": "b"}, {"x_m": 9.0}]}
    assert [field.name for field in entry.rows(TABLE)[0]] == ["rows.0.x_m", "rows.0.count", "rows.0.kind"]


def test_a_field_that_is_needed_and_empty_is_named():
    entry = Entry.of_form([MASS], {}, SI)
    assert entry.summary() == [("mass_t", "Mass", "This is needed.")]


def test_the_services_errors_land_beside_their_fields_and_the_rest_above():
    entry = Entry.of_form([MASS, TABLE], {"mass_t": "5", "rows.0.x_m": "7"}, SI)
    problem = {
        "errors": [
            {"pointer": "/rows/0/x_m", "message": "too far"},
            {"pointer": "/rows/0/depth/3", "message": "in a part that has no field"},
            {"pointer": "/mass_t", "message": "too much"},
            {"pointer": "/elsewhere", "message": "not on this form"},
        ]
    }
    entry.take(refusal(422, problem))
    assert entry.error("rows.0.x_m") == "too far"
    assert entry.error("mass_t") == "too much"
    assert entry.error("rows") == "in a part that has no field"
    assert entry.other == ["elsewhere: not on this form"]


def test_a_pointer_at_a_pair_lands_at_its_first_half():
    entry = Entry.of_form([Field("band.0", "Low", "number"), Field("band.1", "High", "number")], {"band.0": "3"}, SI)
    entry.take(refusal(422, {"errors": [{"pointer": "/band", "message": "must rise"}]}))
    assert entry.error("band.0") == "must rise"


def test_a_document_fills_the_form_that_makes_it_again():
    document = {"mass_t": 2.5, "rows": [{"x_m": -1.25, "count": 3, "kind": "b"}]}
    entry = Entry.of_document([MASS, TABLE], document, SI)
    again = Entry.of_form([MASS, TABLE], entry.texts, SI)
    assert again.document() == document


def test_hundreds_of_thousands_of_named_rows_are_not_believed():
    entry = Entry.of_form([TABLE], {"rows.99999999.x_m": "1", "rows.x.x_m": "2", "rows.1.x_m.3": "4"}, SI)
    assert entry.document() == {}


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2031-05-14 06:30 +02:00", "2031-05-14T06:30:00+02:00"),
        ("2031-05-14T06:30−02:30", "2031-05-14T06:30:00-02:30"),
        ("2031-05-14 06:30:15 UTC", "2031-05-14T06:30:15+00:00"),
        ("2031-05-14T06:30Z", "2031-05-14T06:30:00+00:00"),
    ],
)
def test_a_moment_is_read_with_its_offset_and_shown_as_it_would_be_typed(text: str, moment: str):
    assert value_of(WHEN, text, SI) == moment
    assert value_of(WHEN, text_of(WHEN, moment, SI), SI) == moment
    assert "T" not in text_of(WHEN, moment, SI)


@pytest.mark.parametrize("text", ["2031-05-14 06:30", "14.5.2031 06:30 +02:00", "2031-02-30 06:30 +02:00", "06:30"])
def test_the_clock_of_a_moment_is_never_guessed(text: str):
    with pytest.raises(EntryError, match="offset from UTC"):
        value_of(WHEN, text, SI)
