"""Plain tables for a terminal: no boxes, decimal points in line, one column that wraps."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Align = Literal["left", "right", "point"]

_GAP = "  "
_NUMERIC = re.compile(r"^\s*[−\-]?[\d\u202f]+(\.\d+)?")
_NARROWEST = 24


@dataclass(frozen=True)
class Column:
    """One column: its heading, how cells line up, and its share of the room where long text wraps (0: it does not)."""

    heading: str
    align: Align = "left"
    wraps: int = 0


@dataclass(frozen=True)
class Line:
    """One printed line and the tone it has on a terminal with colour."""

    text: str
    tone: str = ""


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
        Headings first; nothing where there are no rows. Where the columns have no room beside each other, headings are
        broken, and failing that each row is laid out as lines of its own.
    """
    if not rows:
        return []
    cells = [_in_line([row[place] for row in rows], column.align) for place, column in enumerate(columns)]
    room = width - len(indent)
    for heads in ([[column.heading] for column in columns], [column.heading.split() or [""] for column in columns]):
        if _least(columns, heads, cells) <= room:
            break
    else:
        return _stacked(columns, rows, width, tones, indent)
    widths = [max(map(len, [*head, *lined])) for head, lined in zip(heads, cells, strict=True)]
    _narrow(columns, widths, room)
    titles = [_broken(column.heading, w) for column, w in zip(columns, widths, strict=True)]
    lines = [Line(indent + text, "heading") for text in _deep(titles, columns, widths, at_foot=True)]
    for number in range(len(rows)):
        tone = tones[number] if number < len(tones) else ""
        parts = [
            _broken(lined[number], w) if column.wraps else [lined[number]]
            for lined, column, w in zip(cells, columns, widths, strict=True)
        ]
        lines += [Line(indent + text, tone) for text in _deep(parts, columns, widths)]
    return lines


def _least(columns: Sequence[Column], heads: Sequence[Sequence[str]], cells: Sequence[Sequence[str]]) -> int:
    """The narrowest that the table can be with its headings broken like this."""
    least = len(_GAP) * (len(columns) - 1)
    for column, head, lined in zip(columns, heads, cells, strict=True):
        content = max(map(len, lined))
        least += max(*map(len, [*head, ""]), min(content, _NARROWEST) if column.wraps else content)
    return least


def _deep(
    parts: Sequence[Sequence[str]], columns: Sequence[Column], widths: Sequence[int], *, at_foot: bool = False
) -> list[str]:
    """Lay broken cells beside each other; headings stand at the foot of theirs."""
    depth = max(map(len, parts))
    padded = [["", *[""] * (depth - len(part) - 1), *part] if at_foot and len(part) < depth else part for part in parts]
    taken = [[part[at] if at < len(part) else "" for part in padded] for at in range(depth)]
    return [_joined(each, columns, widths) for each in taken]


def _stacked(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int, tones: Sequence[str], indent: str
) -> list[Line]:
    """Lay out each row as lines of its own, where the columns have no room beside each other."""
    lines = []
    for number, row in enumerate(rows):
        tone = tones[number] if number < len(tones) else ""
        for place, (column, cell) in enumerate(zip(columns, row, strict=True)):
            if not cell.strip():
                continue
            start = indent if place == 0 else f"{indent}  "
            named = f"{column.heading}: {cell.strip()}" if column.heading and place else cell.strip()
            lines += [Line(f"{start}{text}", tone) for text in _broken(named, width - len(start))]
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
    room = width - len(_GAP) * (len(widths) - 1) - sum(w for place, w in enumerate(widths) if place not in wrapping)
    while wrapping:
        shares = sum(columns[place].wraps for place in wrapping)
        content = {place for place in wrapping if widths[place] <= room * columns[place].wraps / shares}
        if not content:
            for place in wrapping:
                widths[place] = min(widths[place], max(_NARROWEST, int(room * columns[place].wraps / shares)))
            widest = max(wrapping, key=lambda place: widths[place])
            widths[widest] -= max(sum(widths[place] for place in wrapping) - max(room, _NARROWEST), 0)
            return
        room -= sum(widths[place] for place in content)
        wrapping -= content


def _broken(cell: str, width: int) -> list[str]:
    return textwrap.wrap(cell, max(width, 1), break_long_words=False, break_on_hyphens=False) or [""]


def _joined(cells: Sequence[str], columns: Sequence[Column], widths: Sequence[int]) -> str:
    placed = [
        cell.rjust(width) if column.align == "right" else cell.ljust(width)
        for cell, column, width in zip(cells, columns, widths, strict=True)
    ]
    return _GAP.join(placed).rstrip()
