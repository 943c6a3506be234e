"""A table on a terminal: as wide as it is, its texts broken, and what has no room beside the rest put below its row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from heelwright_client.cli.columns import GAP, Column, Line, joined
from heelwright_client.cli.page import broken, longest_piece

_READABLE, _WORDS = 26, 12
_ROOM_BELOW = 40


@dataclass(frozen=True)
class _Sheet:
    """The columns with their cells, of which some stand beside each other and the rest below each row."""

    columns: Sequence[Column]
    cells: Sequence[Sequence[str]]
    beside: Sequence[int]
    widths: Sequence[int]
    width: int
    indent: str

    def start_of(self, place: int) -> int:
        """Where a column begins in a line."""
        before = self.beside.index(place)
        return len(self.indent) + sum(self.widths[:before]) + len(GAP) * before


def fitted_table(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], width: int, tones: Sequence[str], indent: str
) -> list[Line]:
    """Lay out a table so that no line is longer than the page.

    Parameters
    ----------
    columns : sequence of Column
        A column without anything in it is left out.
    cells : sequence of sequences of str
        By column, at least one row.
    width : int
        Characters in a line.
    tones : sequence of str
        The tone of each row.
    indent : str
        In front of every line.

    Returns
    -------
    list of Line
        Headings, then the rows; each row by itself where not even numbers have room beside each other.
    """
    filled = [place for place, column in enumerate(cells) if any(cell.strip() for cell in column)]
    for least in (_readable, _least):
        for beside in _choices(columns, filled):
            floors = [least(columns[place], cells[place]) for place in beside]
            widths = _widths([columns[p] for p in beside], [cells[p] for p in beside], floors, width - len(indent))
            if widths is not None:
                return _laid_out(_Sheet(columns, cells, beside, widths, width, indent), filled, tones)
    return _stacked(columns, cells, filled, width, tones, indent)


def _choices(columns: Sequence[Column], filled: Sequence[int]) -> Iterator[list[int]]:
    """All columns beside each other, then one after the other of those that may stand below, the last first."""
    beside = list(filled)
    yield list(beside)
    for place in reversed(filled[1:]):
        if columns[place].wraps or columns[place].yields:
            beside.remove(place)
            yield list(beside)


def _widths(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], least: Sequence[int], width: int
) -> list[int] | None:
    """How wide each column is: of the ways that there are, the one with the fewest lines; None where there is none."""
    room = width - len(GAP) * (len(columns) - 1)
    wants = [max(map(len, column)) for column in cells]
    whole = [max(want, len(column.heading)) for column, want in zip(columns, wants, strict=True)]
    if sum(whole) <= room:
        return whole
    headed = [max(want, longest_piece(c.heading)) for c, want in zip(columns, wants, strict=True)]
    shares = [max(column.wraps, 1) for column in columns]
    texts = [place for place, column in enumerate(columns) if column.wraps]
    others = [place for place in range(len(columns)) if place not in texts]
    ways = [_shrunk(headed, least, shares, first, room) for first in (texts, others, range(len(columns)))]
    found = [_shrunk(way, least, shares, range(len(columns)), room) for way in ways]
    fitting = [way for way in found if sum(way) <= room]
    return min(fitting, key=lambda way: _depth(cells, way), default=None)


def _least(column: Column, cells: Sequence[str]) -> int:
    """How narrow a column may become before something in it would be cut."""
    pieces = max(map(len, cells)) if column.whole else max(map(longest_piece, cells))
    readable = min(max(map(len, cells)), _READABLE) if column.wraps or column.yields else 0
    return max(pieces, readable, longest_piece(column.heading))


def _readable(column: Column, cells: Sequence[str]) -> int:
    """How narrow a column may become before it is a pile of single words."""
    return max(_least(column, cells), min(max(map(len, cells)), _WORDS))


def _shrunk(
    widths: Sequence[int], least: Sequence[int], shares: Sequence[int], places: Sequence[int], room: int
) -> list[int]:
    """Take room from those of some columns that have the most for their share, until all fit or none gives more."""
    found = list(widths)
    while sum(found) > room:
        giving = [place for place in places if found[place] > least[place]]
        if not giving:
            break
        found[max(giving, key=lambda place: found[place] / shares[place])] -= 1
    return found


def _depth(cells: Sequence[Sequence[str]], widths: Sequence[int]) -> int:
    rows = zip(*cells, strict=True)
    return sum(max(len(broken(cell, width)) for cell, width in zip(row, widths, strict=True)) for row in rows)


def _laid_out(sheet: _Sheet, filled: Sequence[int], tones: Sequence[str]) -> list[Line]:
    columns = [sheet.columns[place] for place in sheet.beside]
    below = [place for place in filled if place not in sheet.beside]
    titles = [broken(column.heading, width) for column, width in zip(columns, sheet.widths, strict=True)]
    depth = max(map(len, titles))
    titles = [[""] * (depth - len(title)) + title for title in titles]
    lines = [Line(sheet.indent + text, "heading", laid=True) for text in _beside(sheet, titles) if text]
    for number in range(len(sheet.cells[0])):
        tone = tones[number] if number < len(tones) else ""
        parts = [
            [sheet.cells[place][number]] if column.whole else broken(sheet.cells[place][number], width)
            for place, column, width in zip(sheet.beside, columns, sheet.widths, strict=True)
        ]
        lines += [Line(sheet.indent + text, tone, laid=True) for text in _beside(sheet, parts)]
        lines += [Line(text, tone, laid=True) for place in below for text in _below(sheet, place, number)]
    return lines


def _beside(sheet: _Sheet, parts: Sequence[Sequence[str]]) -> Iterator[str]:
    columns = [sheet.columns[place] for place in sheet.beside]
    for deep in range(max(map(len, parts))):
        taken = [part[deep] if deep < len(part) else "" for part in parts]
        yield joined(taken, columns, sheet.widths)


def _below(sheet: _Sheet, place: int, number: int) -> list[str]:
    """A cell below its row: below the text that it belongs to where that leaves room, else a little to the right."""
    cell = sheet.cells[place][number].strip()
    if not cell:
        return []
    texts = [other for other in sheet.beside if sheet.columns[other].wraps and other < place]
    starts = [sheet.start_of(other) for other in texts]
    start = next((at for at in reversed(starts) if sheet.width - at >= _ROOM_BELOW), len(sheet.indent) + 4)
    column = sheet.columns[place]
    of_itself = column.wraps and not any(each.wraps for each in sheet.columns[:place])
    told = cell if of_itself or not column.heading else f"{column.heading}: {cell}"
    return [" " * start + text for text in broken(told, sheet.width - start)]


def _stacked(
    columns: Sequence[Column],
    cells: Sequence[Sequence[str]],
    filled: Sequence[int],
    width: int,
    tones: Sequence[str],
    indent: str,
) -> list[Line]:
    """Each row as lines of its own."""
    lines = []
    for number in range(len(cells[0])):
        tone = tones[number] if number < len(tones) else ""
        for order, place in enumerate(filled):
            cell, heading = cells[place][number].strip(), columns[place].heading
            start = f"{indent}  " if order else indent
            told = f"{heading}: {cell}" if order and heading else cell
            lines += [Line(start + text, tone, laid=True) for text in broken(told, width - len(start)) if cell]
    return lines
