"""Words and dates for a terminal; a pipe or file keeps the names and dates that programs look for."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from heelwright_client.cli.page import on_terminal
from heelwright_client.words import day


def spoken(name: str, words: Mapping[str, str] | None = None) -> str:
    """Write a name that programs use, such as a kind or a role.

    Parameters
    ----------
    name : str
        As the service gives it.
    words : Mapping or None
        What people say instead; else the name with spaces.

    Returns
    -------
    str
        Words on a terminal, elsewhere the name.
    """
    if not on_terminal():
        return name
    return (words or {}).get(name, name.replace("-", " ").replace("_", " "))


def spoken_day(date: str | None, unknown: str = "") -> str:
    """Write a date.

    Parameters
    ----------
    date : str or None
        ISO 8601, the day at least.
    unknown : str
        What stands where there is none.

    Returns
    -------
    str
        Such as ``3 Jun 2029`` on a terminal, elsewhere as it was given.
    """
    if not date:
        return unknown
    return day(date) if on_terminal() else date


def spoken_time(time: str | None, unknown: str = "") -> str:
    """Write a time of a day.

    Parameters
    ----------
    time : str or None
        ISO 8601; a day alone is written as a day.
    unknown : str
        What stands where there is none.

    Returns
    -------
    str
        Such as ``3 Jun 2029, 06:00 UTC`` on a terminal, elsewhere as it was given.
    """
    if not time or len(time) <= len("2029-06-03") or not on_terminal():
        return spoken_day(time, unknown)
    found = datetime.datetime.fromisoformat(time)
    zone = found.isoformat()[-len("+00:00") :] if found.utcoffset() else "UTC" if found.tzinfo else ""
    return f"{day(time)}, {found:%H:%M} {zone}".rstrip()
