"""The page that lines are written on: a terminal's width for people, a fixed and wide one for pipes and files."""

from __future__ import annotations

import re
import shutil
import sys
import textwrap

_WIDEST, _NARROWEST, _WIDEST_PROSE, _PIPE_WIDTH = 120, 40, 100, 110
_TIED = "\u00a0"
_UNIT = r"(?:%|°|t·m/cm|t·m|t/m[³²]|t/cm|kg/m³|[cm]?m|m[²³]|kg|t|LT·ft|LT|lb|ft[²³]?|in|kn|m/s|s)(?![\w·/²³])"
_MONTH = r"(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)"
_CITED = r"annex|appendix|art\.|article|chapter|division|figure|Note|paras?|paragraphs?|part|regulation|section"
_TIES = re.compile(
    rf"\b(?:{_CITED}|[A-Z]{{2,}}) (?=\.?\d)|"
    rf"(?<=\d) (?={_UNIT})|(?<=\d) (?={_MONTH} \d{{4}}\b)|(?<=\d {_MONTH}) (?=\d{{4}}\b)"
    r"|(?<=\d m) (?=[PS]\b)|(?<=\d ft) (?=[PS\d])|(?<=\d) (?=\d+/\d)|(?<=\d) (?=CFR \d)"
)


def on_terminal() -> bool:
    """Tell whether standard output is read by people, rather than by a program or later from a file.

    Returns
    -------
    bool
        True on a terminal.
    """
    return sys.stdout.isatty()


def page_width() -> int:
    """Tell how wide a line may be.

    Returns
    -------
    int
        The terminal's width up to a limit; a fixed one where the output goes to a file or pipe.
    """
    if not on_terminal():
        return _PIPE_WIDTH
    return terminal_width()


def terminal_width() -> int:
    """Tell how wide the terminal is, within what is still read at a glance.

    Returns
    -------
    int
        Characters in a line.
    """
    return max(_NARROWEST, min(shutil.get_terminal_size().columns, _WIDEST))


def prose_width(width: int) -> int:
    """Tell how long a line of running text may be on a terminal: longer ones lose the eye.

    Parameters
    ----------
    width : int
        Characters in a line of the page.

    Returns
    -------
    int
        That, or less.
    """
    return min(width, _WIDEST_PROSE)


def broken(text: str, width: int) -> list[str]:
    """Break a text into lines at its spaces, but not within what is read as one.

    A number stays with its unit, with the name before it or the part of a rule that it counts, a day with its year.

    Parameters
    ----------
    text : str
        May start with spaces, which stay.
    width : int
        Characters in a line; what has no space in it is longer rather than cut.

    Returns
    -------
    list of str
        At least one.

    Examples
    --------
    >>> broken("by 7 May 2029 at 40 % or more", 12)
    ['by', '7 May 2029', 'at 40 % or', 'more']
    """
    tied = textwrap.wrap(_TIES.sub(_tied, text), max(width, 1), break_long_words=False, break_on_hyphens=False)
    return [line.replace(_TIED, " ") for line in tied] or [""]


def _tied(found: re.Match[str]) -> str:
    return found[0].rstrip() + _TIED


def paragraph(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """Break a paragraph; on a terminal its lines are never too long to read.

    Parameters
    ----------
    text : str
        A sentence or more.
    width : int
        Characters in a line of the page.
    first, rest : str
        In front of the first line, and of those after it.

    Returns
    -------
    list of str
        Its lines.
    """
    if not on_terminal():
        return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return hanging(text, prose_width(width), first, rest)


def hanging(text: str, width: int, first: str, rest: str) -> list[str]:
    """Break a text and put something in front of each line.

    Parameters
    ----------
    text : str
        A sentence or more.
    width : int
        Characters in a line with what stands in front.
    first, rest : str
        In front of the first line, and of those after it.

    Returns
    -------
    list of str
        Its lines.

    Examples
    --------
    >>> hanging("one two three", 8, "- ", "  ")
    ['- one', '  two', '  three']
    """
    lines = broken(text, width - max(len(first), len(rest)))
    return [f"{rest if place else first}{line}" for place, line in enumerate(lines)]


def longest_piece(text: str) -> int:
    """Tell the length of the longest part of a text that is not to be broken.

    Parameters
    ----------
    text : str
        A text.

    Returns
    -------
    int
        0 for an empty text.
    """
    return max(map(len, broken(text, 1)))
