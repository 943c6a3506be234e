"""Breaking lines and tables for a terminal: what belongs together stays together, and nothing is lost or cut."""

from __future__ import annotations

import sys

import pytest
from heelwright_client.cli.columns import Column
from heelwright_client.cli.entry_words import entry_words
from heelwright_client.cli.fitting import fitted_table
from heelwright_client.cli.page import broken
from heelwright_client.cli.spoken import spoken, spoken_day, spoken_time
from heelwright_client.units import SI, SYSTEMS
from hypothesis import given
from hypothesis import strategies as st

WORDS = st.lists(
    st.sampled_from(["ballast", "12.5 t", "3 Jun 2029", "0.42 m", "S", "annex 1", "FO 1P", "of", "40 %"]), max_size=30
)


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)


@given(WORDS, st.integers(12, 60))
def test_breaking_loses_nothing_and_parts_no_number_from_what_it_is_of(words: list[str], width: int) -> None:
    lines = broken(" ".join(words), width)
    assert " ".join(lines).split() == " ".join(words).split()
    assert all(len(line) <= width for line in lines)
    assert sum(line.count("3 Jun 2029") for line in lines) == words.count("3 Jun 2029")
    for whole in ("12.5 t", "0.42 m", "annex 1", "FO 1P", "40 %"):
        assert sum(line.count(whole) for line in lines) == words.count(whole)


@pytest.mark.parametrize("whole", ["7 ft 2 3/4 in", "0.015 m P", "1.0142 t/m³", "46 CFR 170.185", "regulation 5.1"])
def test_what_is_read_as_one_is_never_broken(whole: str) -> None:
    assert whole in broken(f"before {whole} after", 3)


def test_a_word_longer_than_the_page_stays_whole() -> None:
    assert broken(f"id {'0' * 32} of it", 20) == ["id", "0" * 32, "of it"]


@given(st.lists(WORDS.filter(bool), min_size=1, max_size=4), st.integers(40, 120))
def test_no_table_is_wider_than_the_page_and_each_of_its_words_is_there(texts: list[list[str]], width: int) -> None:
    columns = [
        Column("id", whole=True),
        Column("what", wraps=2),
        Column("how much", "point"),
        Column("source", wraps=1),
    ]
    told = [" ".join(words) for words in texts]
    cells = [[f"id-{place}" for place in range(len(told))], told, ["12.25 t heavier"] * len(told), told]
    lines = [line.text for line in fitted_table(columns, cells, width, [], "  ")]
    assert all(len(line) <= width for line in lines)
    shown = " ".join(lines).split()
    for word in {word for text in told for word in text.split()}:
        assert shown.count(word) >= 2 * sum(text.split().count(word) for text in told)
    assert shown.count("12.25") == len(told)


def test_what_has_no_room_beside_the_rest_stands_below_its_row_and_an_empty_column_is_left_out() -> None:
    columns = [Column("key", whole=True), Column("due"), Column("what", wraps=1), Column("why not")]
    cells = [["tank/fuel oil starboard/pressed"], ["15 Dec 2026"], ["Press it up until it overflows."], [""]]
    lines = [line.text for line in fitted_table(columns, cells, 60, [], "  ")]
    assert lines == [
        "  key                              due",
        "  tank/fuel oil starboard/pressed  15 Dec 2026",
        "      Press it up until it overflows.",
    ]


def test_where_not_even_numbers_have_room_each_row_stands_by_itself() -> None:
    columns = [Column("date"), *(Column(name, "point", whole=True) for name in ("mass", "LCG", "VCG"))]
    cells = [["14 May 2019"], ["1 445.0 t"], ["35.180 m fwd of AP"], ["4.262 m above base"]]
    lines = [line.text for line in fitted_table(columns, cells, 40, [], "  ")]
    assert lines == [
        "  14 May 2019",
        "    mass: 1 445.0 t",
        "    LCG: 35.180 m fwd of AP",
        "    VCG: 4.262 m above base",
    ]


@pytest.mark.usefixtures("terminal")
def test_names_and_times_are_spoken_on_a_terminal() -> None:
    assert spoken("chief-engineer") == "chief engineer"
    assert spoken("due", {"due": "due now"}) == "due now"
    assert spoken_day("2029-06-03") == "3 Jun 2029"
    assert spoken_day(None, "not set") == "not set"
    assert spoken_time("2029-06-03") == "3 Jun 2029"
    assert spoken_time("2029-06-03T06:00:00+00:00") == "3 Jun 2029, 06:00 UTC"
    assert spoken_time("2029-06-03T06:00+02:00") == "3 Jun 2029, 06:00 +02:00"
    assert spoken_time("2029-06-03T06:00") == "3 Jun 2029, 06:00"


def test_elsewhere_they_stay_as_programs_look_for_them() -> None:
    assert spoken("chief-engineer") == "chief-engineer"
    assert spoken_day("2029-06-03") == "2029-06-03"
    assert spoken_time("2029-06-03T06:00:00+00:00") == "2029-06-03T06:00:00+00:00"


@pytest.mark.usefixtures("terminal")
def test_an_entry_is_told_in_words_with_units_and_sides() -> None:
    reading = {"state": 2, "instrument": "I3", "value_deg": -0.272, "remarks": None}
    assert entry_words(reading, SI) == "state 2, instrument I3, value −0.272°"
    moved = {"mass_t": 1.5, "x_m": 6.81, "y_m": 0.5, "z_m": 5.0, "to_y_m": -0.5, "found_by": "weighed-ashore"}
    told = "mass 1.500 t, 6.810 m fwd of AP, 0.500 m S, 5.000 m above base, to 0.500 m P, found by weighed ashore"
    assert entry_words(moved, SI) == told
    assert entry_words({"read_at": "2029-06-03T06:00:00+00:00"}, SI) == "read at 3 Jun 2029, 06:00 UTC"
    assert entry_words({"length_m": 0.3048, "lines_slack": False}, SYSTEMS["us-decimal"]).startswith("length 1.000 ft")
