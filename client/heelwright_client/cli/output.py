"""Printing: lines for people (colour only where a terminal has it), bare JSON for machines, progress on stderr."""

from __future__ import annotations

import json
import os
import shutil
import sys
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

from heelwright_client.cli.tables import Line

if TYPE_CHECKING:
    from heelwright_client.errors import HeelwrightError

_TONES = {"heading": "dim", "fail": "bold red", "warn": "yellow", "quiet": "dim", "title": "bold"}
_WIDEST, _PIPE_WIDTH = 120, 110
_QUIET_S = 1.0


def page_width() -> int:
    """Tell how wide a line may be.

    Returns
    -------
    int
        The terminal's width up to a limit; a fixed one where the output goes to a file or pipe.
    """
    if not sys.stdout.isatty():
        return _PIPE_WIDTH
    return max(60, min(shutil.get_terminal_size().columns, _WIDEST))


def show(lines: Iterable[Line | str]) -> None:
    """Print lines for people on standard output.

    Parameters
    ----------
    lines : iterable of Line or str
        The lines; their tone is shown only on a terminal with colour.
    """
    printed = [line if isinstance(line, Line) else Line(line) for line in lines]
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
    sys.stderr.write(_encodable(f"heelwright: {text}\n", sys.stderr))


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
