"""Tables, bars and plots in characters, and how output behaves on pipes, terminals and old encodings."""

from __future__ import annotations

import io
import sys
import time
import xml.etree.ElementTree as ElementTree

import pytest
from heelwright_client.cli.checks import caution_lines, check_lines
from heelwright_client.cli.interval_bar import Scale, interval_bar, scale_for
from heelwright_client.cli.output import show, working
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.cli.text_plots import history_plot, moment_plot
from heelwright_client.errors import EntryError
from heelwright_client.moment_drawing import moment_drawing
from heelwright_client.moment_points import moment_lines
from heelwright_client.svg import Axis
from hypothesis import given
from hypothesis import strategies as st


def texts(lines: list[Line]) -> list[str]:
    return [line.text for line in lines]


def test_decimal_points_stand_below_each_other() -> None:
    rows = [["a", "1\u202f204.5 t"], ["b", "12.25 t"], ["c", "not known"]]
    lines = texts(table([Column("x"), Column("mass", "point")], rows))
    assert lines[1].index(".") == lines[2].index(".")
    assert lines[3] == "  c  not known"


def test_long_text_wraps_into_its_own_column() -> None:
    rows = [["fail", "word " * 40, "source " * 10]]
    lines = texts(table([Column("v"), Column("what", wraps=3), Column("source", wraps=2)], rows, width=80))
    assert all(len(line) <= 80 for line in lines)
    assert len(lines) > 3
    start = lines[1].index("word")
    assert all(line[:start].strip() in ("fail", "v", "") for line in lines)


def test_a_table_without_rows_is_nothing() -> None:
    assert table([Column("x")], []) == []


def test_failed_checks_come_first_and_the_unsafe_side_before_the_safe_one() -> None:
    checks: list[dict[str, str | None]] = [
        {"id": "a", "text": "fine", "status": "pass", "source": "s"},
        {"id": "b", "text": "odd", "status": "warn", "source": "s", "side": "safe"},
        {"id": "c", "text": "bad", "status": "fail", "source": "s", "side": "safe"},
        {"id": "d", "text": "worse", "status": "fail", "source": "s", "side": "unsafe"},
        {"id": "e", "text": "unread", "status": "not-assessed", "source": "s", "side": None},
    ]
    lines = texts(check_lines(checks, 100))
    assert lines[0] == "Checks: 2 fail, 1 look at this, 1 not assessed, 1 pass"
    assert [line.split()[-1] for line in lines[2:6]] == ["[d]", "[c]", "[b]", "[e]"]
    assert "fail, unsafe side" in lines[2]
    assert "pass: a." in lines[6]


def test_a_caution_said_twice_is_shown_once() -> None:
    assert len(caution_lines(["Look.", "Look."], 80)) == 2


def test_an_interval_bar_shows_value_ends_and_limit() -> None:
    assert interval_bar(Scale(0.0, 10.0, 11), 5.0, 3.0, 8.0, [9.0]) == "   ├─●──┤┃ "


@given(st.floats(-50, 50), st.floats(0, 50))
def test_an_interval_bar_is_as_wide_as_its_scale_wherever_the_value_lies(value: float, half: float) -> None:
    bar = interval_bar(Scale(-10.0, 10.0, 21), value, value - half, value + half, [0.0])
    assert len(bar) == 21
    if value + half > 11:
        assert bar[-1] == "▸"
    if value - half < -11:
        assert bar[0] == "◂"


def test_a_scale_shows_all_it_was_made_for() -> None:
    scale = scale_for([1.0, 2.0, 3.0])
    assert 0 <= scale.place(1.0) < scale.place(3.0) < scale.width


def record(noise_mm: float = 0.0) -> dict[str, object]:
    places = [0.0, 4.0, 8.0, 4.0, 0.0, -4.0, -8.0]
    return {
        "inclining_weights": [{"id": "A", "mass_t": 2.0}],
        "states": [{"number": n, "positions": {"A": [0.0, y, 0.0]}} for n, y in enumerate(places)],
        "instruments": [{"id": "P", "kind": "pendulum", "length_m": 4.0}, {"id": "I", "kind": "inclinometer"}],
        "readings": [
            *({"state": n, "instrument": "P", "value_mm": 10.0 + 8.0 * y + noise_mm * (-1) ** n} for n, y in
              enumerate(places)),
            {"state": 0, "instrument": "P", "value_mm": 999.0, "withdrawn_reason": "a man stood on the batten"},
        ],
    }  # fmt: skip


def test_the_line_through_perfect_readings_is_the_one_they_were_made_from() -> None:
    [line] = moment_lines(record())
    assert line.slope == pytest.approx(0.001, rel=1e-12)  # 8 mm a metre of a 2 t weight on 4 m
    assert line.intercept == pytest.approx(0.0025, rel=1e-12)
    assert max(map(abs, line.residuals())) < 1e-15


def test_a_withdrawn_reading_and_an_unread_instrument_are_not_drawn() -> None:
    [line] = moment_lines(record())
    assert len(line.points) == 7


def test_the_plot_shows_starboard_at_the_right_and_the_enlargement_of_the_residuals() -> None:
    plotted = moment_plot(moment_lines(record(noise_mm=0.5)))
    assert "to starboard" in "\n".join(plotted)
    assert plotted[1].rstrip().endswith(("o", "·"))
    assert any(text.startswith("residuals, ") and "times" in text for text in plotted)


def test_perfect_readings_can_be_plotted_and_drawn() -> None:
    lines = moment_lines(record())
    assert moment_plot(lines)
    ElementTree.fromstring(moment_drawing(lines, "a & b"))


def test_nothing_is_plotted_of_nothing() -> None:
    assert moment_plot([]) == []
    assert history_plot([(2010.0, 0.0, 0.0)], [], "t") == []


def test_a_history_plot_shows_every_year_and_the_limit() -> None:
    plotted = history_plot([(2010.0, 0.0, 0.0), (2020.0, 10.0, 2.0)], [8.0], "t")
    assert "━" in "".join(plotted)
    assert plotted[-1].startswith("2010")
    assert plotted[-1].endswith("2020")


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6))
def test_the_marks_of_an_axis_lie_within_it(low: float, length: float) -> None:
    high = low + length
    if high <= low:
        return
    ticks = Axis(low, high, 0.0, 100.0).ticks(5)
    room = 1e-6 * (high - low) + 1e-9 * max(abs(low), abs(high))
    assert all(low - room <= tick <= high + room for tick in ticks)
    assert len(ticks) <= 7


class Stream(io.TextIOWrapper):
    """A standard stream with an encoding and a terminal of one's choice."""

    def __init__(self, encoding: str, terminal: bool) -> None:
        super().__init__(io.BytesIO(), encoding=encoding, newline="")
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal

    def written(self) -> str:
        self.flush()
        assert isinstance(self.buffer, io.BytesIO)
        return self.buffer.getvalue().decode(self.encoding)


def test_an_old_terminal_gets_plain_characters_rather_than_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Stream("ascii", terminal=False)
    monkeypatch.setattr(sys, "stdout", stream)
    show(["1\u202f204 t ├─●─┤ 1.3°"])
    assert stream.written() == "1 204 t |-o-| 1.3?\n"


def test_colour_is_for_terminals_that_have_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    lines = [Line("bad [/red] news", "fail")]
    for terminal, no_colour, coloured in ((True, False, True), (False, False, False), (True, True, False)):
        if no_colour:
            monkeypatch.setenv("NO_COLOR", "1")
        stream = Stream("utf-8", terminal)
        monkeypatch.setattr(sys, "stdout", stream)
        show(lines)
        assert ("\x1b[" in stream.written()) is coloured
        assert "bad [/red] news" in stream.written()


def test_what_takes_long_is_told_on_standard_error(capsys: pytest.CaptureFixture[str]) -> None:
    with working("Reducing the record"):
        time.sleep(1.1)
    assert capsys.readouterr() == ("", "Reducing the record ...\n")


def test_what_is_quick_is_not_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(EntryError), working("Failing"):
        raise EntryError("at once")
    assert capsys.readouterr() == ("", "")
