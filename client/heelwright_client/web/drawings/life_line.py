"""A vessel's life as a line of years: keel laid, lightships, alterations, what is due."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from heelwright_client.drift_points import decimal_year
from heelwright_client.svg import ACCENT, RULE, Axis, Drawing

_WIDTH, _HEIGHT, _LEFT, _RIGHT, _LINE = 900, 120, 40, 860, 70
_CLOSE_PX = 46


@dataclass(frozen=True)
class Moment:
    """Something on the line: an ISO date, a word, the shape of its mark, and whether somebody must act on it."""

    date: str
    word: str
    shape: str
    alarming: bool = False


def life_line(moments: Sequence[Moment], today: str, name: str) -> str:
    """Draw the line.

    Parameters
    ----------
    moments : sequence of Moment
        In any order; at least one.
    today : str
        ISO date.
    name : str
        The vessel's name.

    Returns
    -------
    str
        SVG.
    """
    ordered = sorted(moments, key=lambda moment: moment.date)
    years = [decimal_year(moment.date) for moment in ordered] + [decimal_year(today)]
    across = Axis(math.floor(min(years)), math.ceil(max(years) + 0.5), _LEFT, _RIGHT)
    told = "; ".join(f"{moment.word} {moment.date}" for moment in ordered)
    drawing = Drawing(_WIDTH, _HEIGHT, f"Life line of the {name}", f"{told}.")
    drawing.line([(_LEFT, _LINE), (_RIGHT, _LINE)], width=1.2)
    for year in across.ticks(10):
        if year == int(year):
            drawing.line([(across(year), _LINE), (across(year), _LINE + 5)], width=1)
            drawing.words(across(year), _LINE + 40, f"{year:.0f}", anchor="middle", size=11, colour="#555555")
    now = across(decimal_year(today))
    drawing.line([(now, 8), (now, _LINE + 26)], colour=RULE, width=1.5)
    drawing.words(now - 4, 16, "today", anchor="end", size=11, colour="#555555")
    _marks(drawing, ordered, across)
    return drawing.text()


def _marks(drawing: Drawing, moments: Sequence[Moment], across: Axis) -> None:
    """Marks on the line; words climb where they would run into each other."""
    free = {1: -math.inf, 2: -math.inf, 3: -math.inf}
    for moment in moments:
        x = across(decimal_year(moment.date))
        below = moment.shape in ("plus", "cross")
        drawing.mark(x, _LINE, moment.shape, size=5, colour=ACCENT if moment.alarming else "#1a1a1a")
        if below:
            continue
        width = 6.4 * len(moment.word) + 10
        level = next((level for level, end in free.items() if x - width / 2 > end), None)
        if level is not None:
            free[level] = x + width / 2
            drawing.words(x, _LINE + 4 - 16 * level, moment.word, anchor="middle", size=11)
