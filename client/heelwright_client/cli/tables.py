"""Plain tables for a terminal: no boxes, decimal points in line, one column that wraps."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence

from heelwright_client.cli.columns import GAP, Align, Column, Line, joined
from heelwright_client.cli.fitting import fitted_table
from heelwright_client.cli.page import on_terminal

__all__ = ["Column", "Line", "table"]

_NUMERIC = re.compile(r"^\s*[−\-]?[\d\u202f]+(\.\d+)?")
_NARROWEST = 24


def table(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    *,
    width: int = 100,
    tones: Sequence[str] = (),
    indent: str = "  ",
) -> list[Line]:
    """Lay out rows under headings.

    Parameters
    ----------
    columns : sequence of Column
        Those that wrap share the room that the others leave.
    rows : sequence of sequences of str
        The cells.
    width : int
        Characters in a line.
    tones : sequence of str
        The tone of each row.
    indent : str
        In front of every line.

    Returns
    -------
    list of Line
        Headings first, where there are any; nothing where there are no rows. On a terminal nothing is wider than the
        page; elsewhere a row is one line wherever its texts allow.
    """
    if not rows:
        return []
    cells = [_in_line([row[place] for row in rows], column.align) for place, column in enumerate(columns)]
    if on_terminal():
        return fitted_table(columns, cells, width, tones, indent)
    widths = [max(len(column.heading), *map(len, lined)) for column, lined in zip(columns, cells, strict=True)]
    _narrow(columns, widths, width - len(indent))
    heading = joined([column.heading for column in columns], columns, widths)
    lines = [Line(indent + heading, "heading")] if heading else []
    for number in range(len(rows)):
        tone = tones[number] if number < len(tones) else ""
        parts = [_broken(lined[number], column, w) for lined, column, w in zip(cells, columns, widths, strict=True)]
        for deep in range(max(map(len, parts))):
            taken = [part[deep] if deep < len(part) else "" for part in parts]
            lines.append(Line(indent + joined(taken, columns, widths), tone))
    return lines


def _in_line(cells: Sequence[str], align: Align) -> list[str]:
    """Pad cells so that their decimal points stand below each other; words stay at the left."""
    if align != "point":
        return list(cells)
    heads = [_whole_part(cell) for cell in cells]
    widest = max((len(head) for head in heads if head is not None), default=0)
    return [
        cell if head is None else " " * (widest - len(head)) + cell for cell, head in zip(cells, heads, strict=True)
    ]


def _whole_part(cell: str) -> str | None:
    found = _NUMERIC.match(cell)
    return None if found is None else found[0].partition(".")[0]


def _narrow(columns: Sequence[Column], widths: list[int], width: int) -> None:
    """Give the columns that wrap their shares; one that needs less leaves the rest to the others."""
    wrapping = {place for place, column in enumerate(columns) if column.wraps}
    room = width - len(GAP) * (len(widths) - 1) - sum(w for place, w in enumerate(widths) if place not in wrapping)
    while wrapping:
        shares = sum(columns[place].wraps for place in wrapping)
        content = {place for place in wrapping if widths[place] <= room * columns[place].wraps / shares}
        if not content:
            for place in wrapping:
                widths[place] = max(_NARROWEST, int(room * columns[place].wraps / shares))
            return
        room -= sum(widths[place] for place in content)
        wrapping -= content


def _broken(cell: str, column: Column, width: int) -> list[str]:
    if not column.wraps:
        return [cell]
    return textwrap.wrap(cell, width, break_long_words=False, break_on_hyphens=False) or [""]
