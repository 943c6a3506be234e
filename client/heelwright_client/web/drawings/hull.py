"""What the drawings of a hull share: which of her stations are drawn, and how high they reach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

_MOST_STATIONS = 41

Stations = Sequence[Mapping[str, Any]]


def chosen(stations: Stations) -> list[Mapping[str, Any]]:
    """Choose the stations that are drawn.

    Parameters
    ----------
    stations : sequence of Mapping
        As the service stores them, from aft.

    Returns
    -------
    list of Mapping
        All, or evenly some of very many; always the first and the last.
    """
    step = max(1, -(-len(stations) // _MOST_STATIONS))
    return [*stations[:-1:step], stations[-1]]


def count_words(stations: Stations) -> str:
    """Say how many stations there are, and how many of them are drawn.

    Parameters
    ----------
    stations : sequence of Mapping
        As the service stores them.

    Returns
    -------
    str
        Such as ``21`` or ``40 of 120``.
    """
    shown = len(chosen(stations))
    return str(shown) if shown == len(stations) else f"{shown} of {len(stations)}"


def heights(stations: Stations) -> tuple[float, float]:
    """Find the lowest and the highest point.

    Parameters
    ----------
    stations : sequence of Mapping
        At least one.

    Returns
    -------
    (float, float)
        Above the baseline [m].
    """
    found = [z for station in stations for _, z in station["contour_m"]]
    return min(found), max(found)
