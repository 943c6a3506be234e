"""Which tanks belong together: kinds of contents, and pairs to port and starboard."""

from __future__ import annotations

import re
from collections.abc import Sequence

from heelwright_service.core.record import Tank

_SIDED = re.compile(
    r"^(?P<base>.*[\d\s\-_./(])(?P<side>P|S|PS|SB|PORT|STBD|STARBOARD)\)?$",
    re.IGNORECASE,
)
_PORT = frozenset({"P", "PS", "PORT"})
_LEADING_WORDS = re.compile(r"[^\W\d_]+(?:\s+[^\W\d_]{2,})*")
MIRRORED_M = 0.05
SAME_CAPACITY_SHARE = 0.02


def contents_kind(tank: Tank) -> str:
    """Name the kind of liquid a tank is for.

    Parameters
    ----------
    tank : Tank
        The tank.

    Returns
    -------
    str
        Its contents in small letters; where none are given, the words its name begins with.

    Examples
    --------
    >>> from heelwright_service.core.record import SoundingPipe
    >>> contents_kind(Tank("FO 1P", 10.0, SoundingPipe(0.0, 0.0, 0.0), []))
    'fo'
    """
    if tank.contents:
        return tank.contents.strip().lower()
    words = _LEADING_WORDS.match(tank.name.strip())
    return (words.group(0) if words else tank.name).strip().lower()


def base_and_side(name: str) -> tuple[str, str] | None:
    """Split a tank's name into what it shares with its twin and its side.

    Parameters
    ----------
    name : str
        Such as ``FO 1P`` or ``Ballast 3 starboard``.

    Returns
    -------
    tuple of str or None
        The base and ``port`` or ``starboard``; None where the name has no side.

    Examples
    --------
    >>> base_and_side("FO 1P"), base_and_side("Ship's stores")
    (('fo 1', 'port'), None)
    """
    found = _SIDED.match(name.strip())
    if found is None:
        return None
    base = found.group("base").rstrip(" -_./(").lower()
    return base, "port" if found.group("side").upper() in _PORT else "starboard"


def are_pair(one: Tank, other: Tank) -> bool:
    """Whether two tanks are the port and the starboard one of a pair, by name or by mirrored pipes.

    Parameters
    ----------
    one, other : Tank
        The tanks.

    Returns
    -------
    bool
        True when they are.
    """
    first, second = base_and_side(one.name), base_and_side(other.name)
    if first is not None and second is not None:
        return first[0] == second[0] and first[1] != second[1]
    mirrored = (
        abs(one.pipe.x_m - other.pipe.x_m) <= MIRRORED_M
        and abs(one.pipe.y_m + other.pipe.y_m) <= MIRRORED_M
        and abs(one.pipe.y_m) > MIRRORED_M
    )
    alike = abs(one.capacity_m3 - other.capacity_m3) <= SAME_CAPACITY_SHARE * max(one.capacity_m3, other.capacity_m3)
    return mirrored and alike


def units(tanks: Sequence[Tank]) -> list[tuple[Tank, ...]]:
    """Group tanks into pairs and single tanks.

    Parameters
    ----------
    tanks : sequence of Tank
        The tanks.

    Returns
    -------
    list of tuple
        Each tank once, in a pair where its twin is among them.
    """
    left = list(tanks)
    grouped: list[tuple[Tank, ...]] = []
    while left:
        tank = left.pop(0)
        twin = next((other for other in left if are_pair(tank, other)), None)
        if twin is not None:
            left.remove(twin)
        grouped.append((tank,) if twin is None else (tank, twin))
    return grouped
