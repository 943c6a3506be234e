"""Printing: lines for people (colour only where a terminal has it), bare JSON for machines, progress on stderr."""

from __future__ import annotations

import json
import os
import sys
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

from heelwright_client.cli.columns import Line
from heelwright_client.cli.page import hanging, on_terminal, page_width, prose_width, terminal_width

if TYPE_CHECKING:
    from heelwright_client.errors import HeelwrightError

_TONES = {"heading": "dim", "fail": "bold red", "warn": "yellow", "quiet": "dim", "title": "bold"}
_QUIET_S = 1.0


def show(lines: Iterable[Line | str]) -> None:
    """Print lines for people on standard output.

    Parameters
    ----------
    lines : iterable of Line or str
        The lines; their tone is shown only on a terminal with colour. A terminal breaks those that it has no room
        for, a pipe or file takes each as it is.
    """
    given = (line if isinstance(line, Line) else Line(line) for line in lines)
    printed = [part for line in given for part in _on_page(line)]
    if _has_colour(sys.stdout):
        _show_in_colour(printed)
    else:
        sys.stdout.write("".join(f"{_encodable(line.text, sys.stdout)}\n" for line in printed))


def show_json(document: object) -> None:
    """Print a document for machines: full precision, no decoration.

    Parameters
    ----------
    document : object
        What JSON can hold.
    """
    sys.stdout.write(json.dumps(document, indent=2) + "\n")


def complain(error: HeelwrightError, *, as_json: bool) -> None:
    """Tell what went wrong on standard error.

    Parameters
    ----------
    error : HeelwrightError
        What went wrong.
    as_json : bool
        For machines: the problem document.
    """
    problem = getattr(error, "problem", None)
    if as_json:
        told = problem or {"title": type(error).__name__, "detail": str(error)}
        sys.stderr.write(json.dumps(told) + "\n")
        return
    lines = error.lines() if hasattr(error, "lines") else [str(error)]
    text = "\n  ".join(lines)
    complain_in_words(f"heelwright: {text}\n")


def complain_in_words(text: str) -> None:
    """Write a complaint on standard error, its lines broken where a terminal has no room for them.

    Parameters
    ----------
    text : str
        Lines.
    """
    lines = text.splitlines()
    if sys.stderr.isatty():
        lines = [part for line in lines for part in _in_width(line, prose_width(terminal_width()))]
    sys.stderr.write(_encodable("".join(f"{line}\n" for line in lines), sys.stderr))


@contextmanager
def working(what: str) -> Iterator[None]:
    """Say on standard error what is being done, once it has taken longer than a second.

    Parameters
    ----------
    what : str
        Such as ``Reducing the record``.

    Yields
    ------
    None
        While it is being done.
    """
    done = threading.Event()

    def tell() -> None:
        if done.wait(_QUIET_S):
            return
        if not sys.stderr.isatty():
            sys.stderr.write(f"{what} ...\n")
            return
        seconds = int(_QUIET_S)
        while not done.wait(1.0):
            seconds += 1
            sys.stderr.write(f"\r{what} ... {seconds} s")
            sys.stderr.flush()
        sys.stderr.write("\r\033[K")

    teller = threading.Thread(target=tell, daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()


def _on_page(line: Line) -> list[Line]:
    if line.laid or not on_terminal():
        return [line]
    return [Line(each, line.tone) for each in _in_width(line.text, prose_width(page_width()))]


def _in_width(text: str, width: int) -> list[str]:
    """A line, or where it is too long, several of which the further ones are set in by two."""
    if len(text) <= width:
        return [text]
    told = text.strip()
    start = " " * text.index(told)
    return hanging(told, width, start, f"{start}  ")


def _has_colour(stream: TextIO) -> bool:
    return stream.isatty() and "NO_COLOR" not in os.environ and os.environ.get("TERM") != "dumb"


def _show_in_colour(lines: Iterable[Line]) -> None:
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    for line in lines:
        console.print(Text(line.text, style=_TONES.get(line.tone, "")))


def _encodable(text: str, stream: TextIO) -> str:
    """The text with what the stream cannot write replaced, so that an old terminal never stops a result."""
    encoding = stream.encoding or "utf-8"
    plain = text if encoding.lower().startswith("utf") else text.translate(_PLAIN)
    return plain.encode(encoding, "replace").decode(encoding)


_PLAIN = str.maketrans(
    {"\u202f": " ", "−": "-", "·": ".", "├": "|", "┤": "|", "─": "-", "●": "o", "┃": "!", "│": "|", "━": "=", "±": "~"}
)
