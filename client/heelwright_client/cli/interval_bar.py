"""The interval bar in text: a value, its 95 % line and the limit, on one scale for a whole table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

_LINE, _LOW, _HIGH, _VALUE, _LIMIT = "─", "├", "┤", "●", "┃"
_LONG_BAR, _SHORT_BAR, _ROOMY_PAGE = 27, 19, 100
_BEYOND_LOW, _BEYOND_HIGH = "◂", "▸"


@dataclass(frozen=True)
class Scale:
    """The values at the first and the last character of every bar of a table."""

    low: float
    high: float
    width: int = 31

    def place(self, value: float) -> int:
        """Return the character that a value falls on; may lie outside the bar.

        Parameters
        ----------
        value : float
            In the unit of the scale.

        Returns
        -------
        int
            0 for the first character.
        """
        return round((value - self.low) / (self.high - self.low) * (self.width - 1))


def scale_for(values: Sequence[float], width: int = 31) -> Scale:
    """Choose a scale that shows all values with a little room.

    Parameters
    ----------
    values : sequence of float
        Values, ends of intervals and limits.
    width : int
        Characters of a bar.

    Returns
    -------
    Scale
        The scale.
    """
    low, high = min(values), max(values)
    room = 0.05 * (high - low) or 0.05 * abs(high) or 1.0
    return Scale(low - room, high + room, width)


def bar_width(page: int) -> int:
    """Choose how long the bars of a table with much beside them are.

    Parameters
    ----------
    page : int
        Characters in a line of the page.

    Returns
    -------
    int
        Characters of a bar.
    """
    return _LONG_BAR if page >= _ROOMY_PAGE else _SHORT_BAR


def interval_bar(scale: Scale, value: float, low: float, high: float, limits: Sequence[float] = ()) -> str:
    """Draw one bar.

    Parameters
    ----------
    scale : Scale
        The table's scale.
    value, low, high : float
        The value and its 95 % interval.
    limits : sequence of float
        Where limits stand.

    Returns
    -------
    str
        `scale.width` characters; an arrow at an edge where something lies outside.

    Examples
    --------
    >>> interval_bar(Scale(0.0, 10.0, 11), 4.0, 2.0, 7.0, [9.0])
    '  ├─●──┤ ┃ '
    """
    cells = [" "] * scale.width
    last = scale.width - 1
    first_place, last_place = scale.place(low), scale.place(high)
    for place in range(max(first_place, 0), min(last_place, last) + 1):
        cells[place] = _LINE
    _put(cells, first_place, _LOW)
    _put(cells, last_place, _HIGH)
    for limit in limits:
        _put(cells, scale.place(limit), _LIMIT)
    _put(cells, scale.place(value), _VALUE)
    if first_place < 0:
        cells[0] = _BEYOND_LOW
    if last_place > last:
        cells[last] = _BEYOND_HIGH
    return "".join(cells)


def _put(cells: list[str], place: int, sign: str) -> None:
    if 0 <= place < len(cells):
        cells[place] = sign
