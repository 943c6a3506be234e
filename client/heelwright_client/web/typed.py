"""Between what a person typed and what the service takes; nothing is guessed, neither unit nor side."""

from __future__ import annotations

import datetime
import re
from typing import Any

from heelwright_client.errors import EntryError
from heelwright_client.units import System, parse_quantity
from heelwright_client.web.fields import Field

_NUMBER = re.compile(r"[+\-−]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_CLOCK = re.compile(
    r"(?P<day>\d{4}-\d\d-\d\d)[ T]+(?P<time>\d\d:\d\d(:\d\d(\.\d+)?)?) *(?P<offset>[+\-−]\d\d:\d\d|Z|UTC)",
    re.IGNORECASE,
)
_SIDE = re.compile(r"(?P<size>.*?)\s*(?P<side>port|starboard|[ps])", re.IGNORECASE)


def value_of(field: Field, text: str, system: System) -> Any:  # noqa: ANN401 (numbers, texts and flags)
    """Read one field.

    Parameters
    ----------
    field : Field
        What is asked.
    text : str
        What was typed; not empty.
    system : System
        The units that it was typed in.

    Returns
    -------
    float, int, str, bool or list of str
        In SI.

    Raises
    ------
    EntryError
        When it cannot be read; the message says how to write it.

    Examples
    --------
    >>> from heelwright_client.units import SI
    >>> value_of(Field("y_m", "across", "side", "length"), "3.5 P", SI)
    -3.5
    """
    if field.kind == "quantity":
        return _quantity(field, text, system)
    if field.kind == "side":
        return _sided(field, text, system)
    if field.kind == "number":
        return _plain(text, field.unit)
    if field.kind == "count":
        if not text.isdecimal():
            raise EntryError(f"{text!r} is not a whole number.")
        return int(text)
    if field.kind == "date":
        return _day(text)
    if field.kind == "moment":
        return _moment(text)
    if field.kind == "flag":
        return text == "yes"
    if field.kind == "lines":
        return [line.strip() for line in text.splitlines() if line.strip()]
    return text


def text_of(field: Field, value: Any, system: System) -> str:  # noqa: ANN401 (numbers, texts and flags)
    """Write a value as it would be typed.

    Parameters
    ----------
    field : Field
        What is asked.
    value : float, int, str, bool or None
        In SI.
    system : System
        The units to write it in.

    Returns
    -------
    str
        Empty for None.

    Examples
    --------
    >>> from heelwright_client.units import SI
    >>> text_of(Field("y_m", "across", "side", "length"), -3.5, SI)
    '3.5 P'
    """
    if value is None:
        return ""
    if field.kind == "flag":
        return "yes" if value else ""
    if field.kind == "lines":
        return "\n".join(value)
    if field.kind == "moment":
        return _with_spaces(str(value))
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    digits = 10 if system.name == "si" or not field.dimension else 7
    shown = value / system.unit(field.dimension).to_si if field.dimension else value
    if field.kind == "side":
        letter = " S" if shown > 0 else " P" if shown < 0 else ""
        return f"{abs(shown):.{digits}g}{letter}"
    return f"{shown:.{digits}g}"


def _quantity(field: Field, text: str, system: System) -> float:
    assert field.dimension is not None  # noqa: S101 (a quantity is declared with one)
    plain = text.replace("−", "-").strip()
    if _NUMBER.fullmatch(plain):
        return float(plain) * system.unit(field.dimension).to_si
    _refuse_comma(text)
    return parse_quantity(plain, field.dimension)


def _sided(field: Field, text: str, system: System) -> float:
    found = _SIDE.fullmatch(text.strip())
    if found:
        size = _quantity(field, found["size"], system)
        if size < 0:
            raise EntryError(f"{text!r} has a sign and a side; write the size and the side, such as 3.5 P.")
        return size if found["side"].upper().startswith("S") else -size
    size = _quantity(field, text, system)
    if size:
        raise EntryError(f"{text!r} does not say which side; write P for port or S for starboard behind it.")
    return 0.0


def _plain(text: str, unit: str) -> float:
    _refuse_comma(text)
    plain = text.replace("−", "-").strip().removesuffix(unit).strip()
    if not _NUMBER.fullmatch(plain):
        raise EntryError(f"{text!r} is not a number{' in ' + unit if unit else ''}.")
    return float(plain)


def _refuse_comma(text: str) -> None:
    if "," in text:
        raise EntryError(f"{text!r} has a comma, which may stand for a decimal point or for thousands; write a point.")


def _day(text: str) -> str:
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise EntryError(f"{text!r} is not a date; write it as 2031-05-14.") from None


def _moment(text: str) -> str:
    """Read a day and time as ISO 8601; which clock it is told by is never guessed."""
    found = _CLOCK.fullmatch(text.strip())
    try:
        if found is None:
            raise ValueError
        offset = found["offset"].replace("−", "-").upper().replace("UTC", "Z")
        return datetime.datetime.fromisoformat(f"{found['day']}T{found['time']}{offset}").isoformat()
    except ValueError:
        raise EntryError(
            f"{text!r} is not a day and time with its offset from UTC; write it as 2031-05-14 06:30 +02:00."
        ) from None


def _with_spaces(moment: str) -> str:
    found = _CLOCK.fullmatch(moment)
    return moment if found is None else f"{found['day']} {found['time'].removesuffix(':00')} {found['offset']}"
