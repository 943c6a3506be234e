"""Figures and signs in words: a number, its unit, its side; never a bare sign."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

MILLIMETRES = 1000.0
MOST_NAMES = 8
LARGEST_IN_SIX_DIGITS = 999_999.5
"""From here on six digits would be written with a power of ten."""
SAME_SHARE = 1e-9
"""Figures closer than this share count as equal: a value computed as exactly the limit keeps it."""


def number(value: float, decimals: int = 2, beside: float | None = None) -> str:
    """Write a figure with as many decimals as it needs to be told from its limit.

    Parameters
    ----------
    value : float
        The figure.
    decimals : int
        Decimals that suffice as a rule.
    beside : float, optional
        A limit it is compared with; a figure that differs from it never rounds to it.

    Returns
    -------
    str
        The figure, without a sign of zero.

    Examples
    --------
    >>> number(0.5004, 2, beside=0.5), number(0.31, 2, beside=0.5), number(-0.0001)
    ('0.5004', '0.31', '0.00')
    """
    differs = beside is not None and abs(value - beside) > SAME_SHARE * max(abs(beside), 1.0)
    for more in range(4):
        text = f"{value:.{decimals + more}f}"
        if not differs or beside is None or float(text) != round(beside, decimals + more):
            break
    return text.lstrip("-") if float(text) == 0.0 else text


def figure(value: float) -> str:
    """Write a limit as a rule states it: no more decimals than it has.

    Parameters
    ----------
    value : float
        The limit.

    Returns
    -------
    str
        The shortest writing.

    Examples
    --------
    >>> figure(0.5), figure(150.0), figure(1.0 / 3.0), figure(1.26e6)
    ('0.5', '150', '0.333333', '1260000')
    """
    return f"{value:.0f}" if abs(value) >= LARGEST_IN_SIX_DIGITS else f"{value:.6g}"


def tonnes(mass_t: float) -> str:
    """Write a mass with decimals after its size.

    Parameters
    ----------
    mass_t : float
        Mass [t].

    Returns
    -------
    str
        Such as ``1143.9 t`` or ``0.765 t``.
    """
    size = abs(mass_t)
    return f"{number(mass_t, 1 if size >= 1000.0 else 2 if size >= 10.0 else 3)} t"


def to_side(heel_deg: float, beside: float | None = None) -> str:
    """Write a heel or list with its side.

    Parameters
    ----------
    heel_deg : float
        Angle [deg], positive to starboard.
    beside : float, optional
        A limit it is compared with [deg].

    Returns
    -------
    str
        Such as ``0.31° to port``.

    Examples
    --------
    >>> to_side(-0.312), to_side(0.0)
    ('0.31° to port', '0.00° (upright)')
    """
    text = number(abs(heel_deg), 2, beside)
    return f"{text}° ({'upright'})" if float(text) == 0.0 else f"{text}° to {side_name(heel_deg)}"


def side_name(value: float) -> str:
    """Name the side of a transverse quantity.

    Parameters
    ----------
    value : float
        Anything that is positive to starboard.

    Returns
    -------
    str
        ``starboard`` or ``port``.
    """
    return "starboard" if value > 0.0 else "port"


def trim_words(trim_m: float) -> str:
    """Write a trim with its end.

    Parameters
    ----------
    trim_m : float
        Trim [m], positive by the stern.

    Returns
    -------
    str
        Such as ``0.42 m by the stern``.

    Examples
    --------
    >>> trim_words(0.42), trim_words(-0.07), trim_words(0.0)
    ('0.42 m by the stern', '0.07 m by the head', '0.00 m (even keel)')
    """
    text = number(abs(trim_m), 2)
    if float(text) == 0.0:
        return f"{text} m (even keel)"
    return f"{text} m by the {'stern' if trim_m > 0.0 else 'head'}"


def hog_words(hog_m: float, decimals: int = 0) -> str:
    """Write a hog or sag in millimetres.

    Parameters
    ----------
    hog_m : float
        Hog amidships [m], sag negative.
    decimals : int
        Decimals of the millimetres.

    Returns
    -------
    str
        Such as ``12 mm of sag``.
    """
    text = number(abs(hog_m) * MILLIMETRES, decimals)
    return f"{text} mm of {'hog' if hog_m >= 0.0 else 'sag'}"


def listed(names: Sequence[str]) -> str:
    """Join names as a sentence does, the long tail counted.

    Parameters
    ----------
    names : sequence of str
        Names.

    Returns
    -------
    str
        Such as ``A, B and C``.

    Examples
    --------
    >>> listed(["A", "B", "C"]), listed([])
    ('A, B and C', 'none')
    """
    shown = list(names[:MOST_NAMES])
    if len(names) > MOST_NAMES:
        return f"{', '.join(shown)} and {len(names) - MOST_NAMES} more"
    if len(shown) < 2:
        return shown[0] if shown else "none"
    return f"{', '.join(shown[:-1])} and {shown[-1]}"


def counted(count: int, singular: str, plural: str | None = None) -> str:
    """Write a count with its noun.

    Parameters
    ----------
    count : int
        How many.
    singular : str
        The noun for one.
    plural : str, optional
        The noun for many; by default with an s.

    Returns
    -------
    str
        Such as ``2 pairs``.
    """
    return f"{count} {singular if count == 1 else plural or singular + 's'}"


_DIRECTIONS = {
    "mass_t": ("mass", "t", "heavier", "lighter"),
    "lcg_m": ("LCG", "m", "forward", "aft"),
    "tcg_m": ("TCG", "m", "to starboard", "to port"),
    "vcg_m": ("VCG", "m", "higher", "lower"),
}


def changed(quantity: str, value: float) -> str:
    """Write how far mass or centre of a lightship has moved, its direction in words.

    Parameters
    ----------
    quantity : str
        One of mass_t, lcg_m, tcg_m and vcg_m.
    value : float
        The signed change [t or m].

    Returns
    -------
    str
        Such as ``VCG 0.040 m higher``.

    Examples
    --------
    >>> changed("mass_t", 45.4), changed("lcg_m", -0.3)
    ('mass 45.40 t heavier', 'LCG 0.300 m aft')
    """
    name, unit, more, less = _DIRECTIONS[quantity]
    decimals = 2 if unit == "t" else 3
    return f"{name} {number(abs(value), decimals)} {unit} {more if value >= 0.0 else less}"


def plain(name: str) -> str:
    """Write a name that programs use as people write it.

    Parameters
    ----------
    name : str
        Such as ``lightweight-survey``.

    Returns
    -------
    str
        Its words.

    Examples
    --------
    >>> plain("weight-certificates")
    'weight certificates'
    """
    return name.replace("-", " ")


def on_day(date: str) -> str:
    """Write a date as people in all countries read it alike.

    Parameters
    ----------
    date : str
        ISO 8601, the day at least; anything else is given back as it is.

    Returns
    -------
    str
        Such as ``3 Jun 2029``.

    Examples
    --------
    >>> on_day("2029-06-03"), on_day("last spring")
    ('3 Jun 2029', 'last spring')
    """
    try:
        found = datetime.date.fromisoformat(date[:10])
    except ValueError:
        return date
    return f"{found.day} {found:%b %Y}"


def dated(basis: str, date: str) -> str:
    """Name a lightship by its basis and day.

    Parameters
    ----------
    basis : str
        Such as ``inclining-test``.
    date : str
        ISO 8601.

    Returns
    -------
    str
        Its words.

    Examples
    --------
    >>> dated("inclining-test", "2015-06-10")
    'inclining test of 10 Jun 2015'
    """
    return f"{plain(basis)} of {on_day(date)}"
