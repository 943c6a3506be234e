"""A vessel's life as a line of years: keel laid, lightships, alterations, what is due."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from heelwright_client.drift_points import decimal_year
from heelwright_client.svg import ACCENT, INK, Axis, Drawing, Picture
from heelwright_client.svg_plot import SMALL, SOFT, WIDE, text_width, year_ticks

_ROW = 17.0
_ONLY_MARKED = ("plus", "cross")
_APART = 4.0
_ROWS, _MOST_TRIED = 4, 2000


@dataclass(frozen=True)
class Moment:
    """Something on the line: an ISO date, a word, the shape of its mark, whether somebody must act on it, a note."""

    date: str
    word: str
    shape: str
    alarming: bool = False
    note: str = ""


@dataclass(frozen=True)
class _Word:
    """A word above the line: where it belongs [px], and once it is placed its left end and its row."""

    x: float
    text: str
    alarming: bool
    left: float = 0.0
    row: int = 0

    def right(self) -> float:
        """Where it ends."""
        return self.left + text_width(self.text) * (1.1 if self.alarming else 1.0)


def life_line(moments: Sequence[Moment], today: str, name: str, width: int = WIDE) -> Picture:
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
    Picture
        SVG and what explains its marks.
    """
    ordered = sorted(moments, key=lambda moment: moment.date)
    years = [decimal_year(moment.date) for moment in ordered] + [decimal_year(today)]
    across = Axis(math.floor(min(years)), math.ceil(max(years) + 0.5), 24, width - 24)
    now = decimal_year(today)
    words = [_Word(across(now), "today", False)]
    words += [_Word(across(decimal_year(m.date)), m.word, m.alarming) for m in ordered if m.shape not in _ONLY_MARKED]
    placed = _placed(words, width)
    line = 14.0 + _ROW * (max(word.row for word in placed) + 1)
    drawing = Drawing(width, int(line) + 32, f"Life line of the {name}", _told(ordered, today))
    for year, text in year_ticks(across, 12 if width >= WIDE else 5):
        drawing.line([(across(year), line), (across(year), line + 7)])
        drawing.words(across(year), line + 22, text, anchor="middle", size=SMALL, colour=SOFT)
    drawing.line([(across.start, line), (across.end, line)], width=1.4)
    for word in placed:
        foot = line + (7 if word.text == "today" else 0)
        drawing.line([(word.x, foot), (word.x, line - 12 - _ROW * word.row)], width=0.7)
    for word in placed:
        _write(drawing, word, line - 13 - _ROW * word.row)
    _marks(drawing, ordered, across, line)
    return drawing.picture()


def _told(ordered: Sequence[Moment], today: str) -> str:
    told = "; ".join(f"{moment.word} {moment.date}" for moment in ordered)
    late = [moment.word for moment in ordered if moment.alarming]
    return f"{told}; today {today}." + (f" Overdue: {', '.join(late)}." if late else "")


def _placed(words: Sequence[_Word], width: int) -> list[_Word]:
    """Words climb, or stand to one side of their line, where they would run into each other or into a line."""
    ordered = sorted(words, key=lambda word: word.x)
    return _all_free(ordered, width) or _one_by_one(ordered, width)


def _all_free(words: Sequence[_Word], width: int) -> list[_Word]:
    """The first way in which no word is in another's; empty where a bounded search finds none."""
    choices = [[replace(word, left=left, row=row) for row in range(_ROWS) for left in _lefts(word, width)]
               for word in words]  # fmt: skip
    found: list[_Word] = []
    tried = [0] * len(words)
    for _ in range(_MOST_TRIED):
        at = len(found)
        if at == len(words):
            return found
        place = next((order for order in range(tried[at], len(choices[at])) if _is_free(choices[at][order], found)), -1)
        if place >= 0:
            found.append(choices[at][place])
            tried[at] = place + 1
            continue
        tried[at] = 0
        if not found:
            return []
        found.pop()
    return []


def _one_by_one(words: Sequence[_Word], width: int) -> list[_Word]:
    """Each word where it is free of those before it, else in a row of its own."""
    found: list[_Word] = []
    for word in words:
        top = max([-1, *(other.row for other in found)]) + 1
        places = [replace(word, left=left, row=row) for row in range(top + 1) for left in _lefts(word, width)]
        found.append(next((place for place in places if _is_free(place, found)), places[-1]))
    return found


def _lefts(word: _Word, width: int) -> list[float]:
    """Left ends of a word above its line, right of it, left of it, as far as they are on the paper."""
    wide = replace(word, left=0.0).right()
    middle = min(max(word.x - wide / 2, 2.0), width - 2 - wide)
    sides = [word.x + _APART, word.x - _APART - wide]
    return [*(left for left in sides if left >= 2 and left + wide <= width - 2), middle][::-1]


def _is_free(word: _Word, others: Sequence[_Word]) -> bool:
    """Whether a word lies on no other, its line runs through none below, and no line of one above runs through it."""
    for other in others:
        if word.row == other.row and word.left - 5 < other.right() and other.left - 5 < word.right():
            return False
        above, below = (word, other) if word.row > other.row else (other, word)
        if above.row > below.row and below.left - 2 < above.x < below.right() + 2:
            return False
    return True


def _write(drawing: Drawing, word: _Word, y: float) -> None:
    colour = ACCENT if word.alarming else INK
    drawing.words(word.left, y, word.text, size=SMALL, colour=colour, bold=word.alarming)


def _marks(drawing: Drawing, moments: Sequence[Moment], across: Axis, line: float) -> None:
    """What is overdue first and larger, so that a lightship of the same day stays to be seen in it."""
    for moment in sorted(moments, key=lambda moment: not moment.alarming):
        colour, size = (ACCENT, 9.0) if moment.alarming else (INK, 5.0)
        x = across(decimal_year(moment.date))
        drawing.mark(x, line, moment.shape, size=size, colour=colour, filled=moment.alarming)
    for moment in moments:
        if moment.note:
            drawing.note(moment.note)
