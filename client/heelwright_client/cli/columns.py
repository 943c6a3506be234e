"""What a table is made of: columns, and the lines that come of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Align = Literal["left", "right", "point"]

GAP = "  "


@dataclass(frozen=True)
class Column:
    """One column: its heading, how cells line up, and its share of the room where long text wraps (0: it does not).

    On a narrow terminal a `whole` one is never broken (a bar, or a name that is typed as it stands), and one that
    `yields` goes below its row, as a text may.
    """

    heading: str
    align: Align = "left"
    wraps: int = 0
    whole: bool = False
    yields: bool = False


@dataclass(frozen=True)
class Line:
    """One printed line and the tone it has on a terminal with colour; one `laid` out already is not broken any more."""

    text: str
    tone: str = ""
    laid: bool = False


def joined(cells: Sequence[str], columns: Sequence[Column], widths: Sequence[int]) -> str:
    """Put the cells of one line beside each other.

    Parameters
    ----------
    cells : sequence of str
        One a column.
    columns : sequence of Column
        How they line up.
    widths : sequence of int
        Characters of each.

    Returns
    -------
    str
        Without trailing spaces.
    """
    placed = [
        cell.rjust(width) if column.align == "right" else cell.ljust(width)
        for cell, column, width in zip(cells, columns, widths, strict=True)
    ]
    return GAP.join(placed).rstrip()
