"""A vessel's life as a line of years: keel laid, lightships, alterations, what is due."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from heelwright_client.drift_points import decimal_year
from heelwright_client.svg import ACCENT, INK, Axis, Drawing
from heelwright_client.svg_plot import SMALL, SOFT, WIDE, text_width, year_ticks

_ROW = 17.0
_ONLY_MARKED = ("plus", "cross")


@dataclass(frozen=True)
class Moment:
    """Something on the line: an ISO date, a word, the shape of its mark, and whether somebody must act on it."""

    date: str
    word: str
    shape: str
    alarming: bool = False


@dataclass(frozen=True)
class _Word:
    """A word above the line at a place [px]."""

    x: float
    text: str
    alarming: bool


def life_line(moments: Sequence[Moment], today: str, name: str, width: int = WIDE) -> str:
    """Draw the line.

    Parameters
    ----------
    moments : sequence of Moment
        In any order; at least one.
    today : str
        ISO date.
    name : str
        The vessel's name.
    width : int
        Of the drawing [px].

    Returns
    -------
    str
        SVG.
    """
    ordered = sorted(moments, key=lambda moment: moment.date)
    years = [decimal_year(moment.date) for moment in ordered] + [decimal_year(today)]
    across = Axis(math.floor(min(years)), math.ceil(max(years) + 0.5), 24, width - 24)
    now = decimal_year(today)
    words = [_Word(across(now), "today", False)]
    words += [_Word(across(decimal_year(m.date)), m.word, m.alarming) for m in ordered if m.shape not in _ONLY_MARKED]
    rows = _rows(words, width)
    line = 14.0 + _ROW * (max(rows) + 1)
    drawing = Drawing(width, int(line) + 32, f"Life line of the {name}", _told(ordered, today))
    for year, text in year_ticks(across, 12 if width >= WIDE else 5):
        drawing.line([(across(year), line), (across(year), line + 7)])
        drawing.words(across(year), line + 22, text, anchor="middle", size=SMALL, colour=SOFT)
    drawing.line([(across.start, line), (across.end, line)], width=1.4)
    for word, row in zip(words, rows, strict=True):
        drawing.line([(word.x, line + (7 if word.text == "today" else 0)), (word.x, line - 12 - _ROW * row)], width=0.7)
    for word, row in zip(words, rows, strict=True):
        _write(drawing, word, line - 13 - _ROW * row, width)
    _marks(drawing, ordered, across, line)
    return drawing.text()


def _told(ordered: Sequence[Moment], today: str) -> str:
    told = "; ".join(f"{moment.word} {moment.date}" for moment in ordered)
    late = [moment.word for moment in ordered if moment.alarming]
    return f"{told}; today {today}." + (f" Overdue: {', '.join(late)}." if late else "")


def _middle(word: _Word, width: int) -> float:
    half = text_width(word.text) / 2 + 5
    return min(max(word.x, half), width - half)


def _rows(words: Sequence[_Word], width: int) -> list[int]:
    """Words climb where they would run into each other."""
    ends: list[list[tuple[float, float]]] = []
    found = []
    for word in words:
        half, middle = text_width(word.text) * (1.1 if word.alarming else 1.0) / 2 + 5, _middle(word, width)
        fits = (all(middle + half < low or middle - half > high for low, high in row) for row in ends)
        row = next((order for order, free in enumerate(fits) if free), len(ends))
        if row == len(ends):
            ends.append([])
        ends[row].append((middle - half, middle + half))
        found.append(row)
    return found


def _write(drawing: Drawing, word: _Word, y: float, width: int) -> None:
    colour = ACCENT if word.alarming else INK
    drawing.words(_middle(word, width), y, word.text, anchor="middle", size=SMALL, colour=colour, bold=word.alarming)


def _marks(drawing: Drawing, moments: Sequence[Moment], across: Axis, line: float) -> None:
    """What is overdue first and larger, so that a lightship of the same day stays to be seen in it."""
    for moment in sorted(moments, key=lambda moment: not moment.alarming):
        colour, size = (ACCENT, 9.0) if moment.alarming else (INK, 5.0)
        x = across(decimal_year(moment.date))
        drawing.mark(x, line, moment.shape, size=size, colour=colour, filled=moment.alarming)
