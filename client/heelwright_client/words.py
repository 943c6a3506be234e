"""Numbers and signs as people read them: words for the sign, digits by the uncertainty, thin spaces for thousands."""

from __future__ import annotations

import datetime
import math

from heelwright_client.units import SI, Dimension, System, feet_and_inches

THIN_SPACE = "\u202f"
MINUS = "\u2212"
_NOTHING = "not known"


def decimals_for(half_width: float) -> int:
    """Tell how many decimals leave two significant digits of an interval (JCGM 100:2008, 7.2.6).

    Parameters
    ----------
    half_width : float
        Half the width of the interval, in the unit of the value.

    Returns
    -------
    int
        Decimals to show; negative where even the units are not known.

    Examples
    --------
    >>> decimals_for(0.023), decimals_for(4.1), decimals_for(0.0999), decimals_for(310.0)
    (3, 1, 2, -1)
    """
    exponent = int(f"{abs(half_width):.1e}".partition("e")[2])
    return 1 - exponent


def number(value: float, decimals: int = 3) -> str:
    """Write a number with a fixed count of decimals, thin spaces for thousands and a true minus.

    Parameters
    ----------
    value : float
        The number.
    decimals : int
        Digits behind the point; negative rounds to tens, hundreds, ...

    Returns
    -------
    str
        The number; a rounded zero has no sign.

    Examples
    --------
    >>> number(12345.678, 1)
    '12\u202f345.7'
    """
    rounded = round(value, decimals)
    text = f"{abs(rounded):,.{max(decimals, 0)}f}".replace(",", THIN_SPACE)
    return f"{MINUS}{text}" if rounded < 0 else text


def rounded_by(value: float, half_width: float | None, decimals: int = 3) -> str:
    """Write a number to the digits that its interval leaves known.

    Parameters
    ----------
    value : float
        The number.
    half_width : float or None
        Half the width of its 95 % interval, in the same unit; None or 0 where there is none.
    decimals : int
        Decimals to show where there is no interval.

    Returns
    -------
    str
        The number without a unit.

    Examples
    --------
    >>> rounded_by(5.04321, 0.0234)
    '5.043'
    """
    if half_width and math.isfinite(half_width):
        return number(value, min(decimals_for(half_width), 6))
    return number(value, decimals)


def quantity(
    value: float | None,
    dimension: Dimension,
    *,
    system: System = SI,
    half_width: float | None = None,
    decimals: int = 3,
) -> str:
    """Write a value with its unit in the display system.

    Parameters
    ----------
    value : float or None
        The value in SI; None is unknown.
    dimension : str
        Such as ``mass``.
    system : System
        Display units.
    half_width : float or None
        Half the width of the 95 % interval, in SI.
    decimals : int
        Decimals in the display unit where there is no interval.

    Returns
    -------
    str
        Such as ``1\u202f204 t``.
    """
    if value is None:
        return _NOTHING
    unit = system.unit(dimension)
    width = None if half_width is None else half_width / unit.to_si
    gap = "" if unit.symbol == "°" else " "
    return f"{rounded_by(value / unit.to_si, width, decimals)}{gap}{unit.symbol}"


def sided(value: float, dimension: Dimension, words: tuple[str, str], **how: object) -> str:
    """Write a value without its sign and put the word for the sign behind it.

    Parameters
    ----------
    value : float
        The value in SI.
    dimension : str
        Such as ``length``.
    words : (str, str)
        The words for positive and for negative.
    **how
        As for `quantity`.

    Returns
    -------
    str
        Such as ``0.42 m by the stern``; a value that rounds to zero has no word.
    """
    text = quantity(abs(value), dimension, **how)  # type: ignore[arg-type]  # passed through unchanged
    if not any(digit in text for digit in "123456789"):
        return text
    return f"{text} {words[0] if value > 0 else words[1]}"


def trim(value_m: float, system: System = SI, half_width: float | None = None) -> str:
    """Write a trim, positive by the stern, in words.

    Parameters
    ----------
    value_m : float
        Trim between perpendiculars [m], by the stern positive.
    system : System
        Display units.
    half_width : float or None
        Half the width of the 95 % interval [m].

    Returns
    -------
    str
        Such as ``0.42 m by the stern`` or ``on an even keel``.

    Examples
    --------
    >>> trim(0.42), trim(-0.1), trim(0.0)
    ('0.42 m by the stern', '0.10 m by the bow', 'on an even keel')
    """
    side = "by the stern" if value_m > 0 else "by the bow"
    if system.inches:
        text = feet_and_inches(value_m)
    else:
        text = quantity(abs(value_m), "length", system=system, half_width=half_width, decimals=2)
    return f"{text} {side}" if _shows_something(text) else "on an even keel"


def draught(value_m: float, system: System = SI, half_width: float | None = None) -> str:
    """Write a draught: metres, decimal feet, or feet and inches.

    Parameters
    ----------
    value_m : float
        Draught [m].
    system : System
        Display units.
    half_width : float or None
        Half the width of the 95 % interval [m].

    Returns
    -------
    str
        Such as ``2.204 m`` or ``7 ft 2 3/4 in``.
    """
    if system.inches and value_m >= 0:
        return feet_and_inches(value_m)
    return quantity(value_m, "length", system=system, half_width=half_width)


def heel(value_deg: float, half_width: float | None = None) -> str:
    """Write a heel, positive to starboard, in words.

    Parameters
    ----------
    value_deg : float
        Heel [degrees], to starboard positive.
    half_width : float or None
        Half the width of the 95 % interval [degrees].

    Returns
    -------
    str
        Such as ``1.3° to port`` or ``upright``.

    Examples
    --------
    >>> heel(-1.3), heel(0.01)
    ('1.3° to port', 'upright')
    """
    text = sided(value_deg, "angle", ("to starboard", "to port"), half_width=half_width, decimals=1)
    return text if _shows_something(text) else "upright"


def offset(value_m: float | None, system: System = SI, half_width: float | None = None) -> str:
    """Write a transverse position with the letter of its side.

    Parameters
    ----------
    value_m : float or None
        Distance from the centreline [m], to starboard positive; None is unknown.
    system : System
        Display units.
    half_width : float or None
        Half the width of the 95 % interval [m].

    Returns
    -------
    str
        Such as ``0.015 m S``, ``0.015 m P`` or ``0.000 m`` (on the centreline).

    Examples
    --------
    >>> offset(0.015), offset(-0.2)
    ('0.015 m S', '0.200 m P')
    """
    if value_m is None:
        return _NOTHING
    return sided(value_m, "length", ("S", "P"), system=system, half_width=half_width)


def station(value_m: float | None, system: System = SI, half_width: float | None = None) -> str:
    """Write a longitudinal position from the aft perpendicular.

    Parameters
    ----------
    value_m : float or None
        Distance from the aft perpendicular [m], forward positive; None is unknown.
    system : System
        Display units.
    half_width : float or None
        Half the width of the 95 % interval [m].

    Returns
    -------
    str
        Such as ``21.30 m fwd of AP``.

    Examples
    --------
    >>> station(-0.8)
    '0.800 m aft of AP'
    """
    if value_m is None:
        return _NOTHING
    return sided(value_m, "length", ("fwd of AP", "aft of AP"), system=system, half_width=half_width)


def height(value_m: float | None, system: System = SI, half_width: float | None = None) -> str:
    """Write a height from the moulded baseline.

    Parameters
    ----------
    value_m : float or None
        Height [m]; None is unknown, which is not zero.
    system : System
        Display units.
    half_width : float or None
        Half the width of the 95 % interval [m].

    Returns
    -------
    str
        Such as ``5.043 m``; a height below the baseline says so.
    """
    if value_m is None:
        return _NOTHING
    return sided(value_m, "length", ("above base", "below base"), system=system, half_width=half_width)


_CHANGES: dict[str, tuple[Dimension, tuple[str, str]]] = {
    "mass_t": ("mass", ("heavier", "lighter")),
    "lcg_m": ("length", ("forward", "aft")),
    "tcg_m": ("length", ("to starboard", "to port")),
    "vcg_m": ("length", ("higher", "lower")),
    "displacement_t": ("mass", ("heavier", "lighter")),
}


def change(name: str, value: float | None, system: System = SI, half_width: float | None = None) -> str:
    """Write how far a quantity has moved, with a word for the direction.

    Parameters
    ----------
    name : str
        ``mass_t``, ``lcg_m``, ``tcg_m`` or ``vcg_m``.
    value : float or None
        New minus old [t or m]; None is unknown.
    system : System
        Display units.
    half_width : float or None
        Half the width of the 95 % interval, in the same unit.

    Returns
    -------
    str
        Such as ``31.0 t heavier`` or ``0.052 m higher``.

    Examples
    --------
    >>> change("vcg_m", 0.052), change("mass_t", -3.25)
    ('0.052 m higher', '3.2 t lighter')
    """
    if value is None:
        return _NOTHING
    dimension, words = _CHANGES[name]
    decimals = 1 if dimension == "mass" else 3
    return sided(value, dimension, words, system=system, half_width=half_width, decimals=decimals)


def chance(probability: float) -> str:
    """Write a probability in per cent; what is not certain is not called so.

    Parameters
    ----------
    probability : float
        From 0 to 1.

    Returns
    -------
    str
        Such as ``73 %``, ``over 99 %`` or ``under 1 %``.

    Examples
    --------
    >>> chance(0.731), chance(0.9999), chance(0.0001)
    ('73 %', 'over 99 %', 'under 1 %')
    """
    if probability > 0.99:
        return "over 99 %"
    return "under 1 %" if probability < 0.01 else f"{number(100 * probability, 0)} %"


def day(text: str | None) -> str:
    """Write a date as people in all countries read it alike.

    Parameters
    ----------
    text : str or None
        ISO 8601, the day at least.

    Returns
    -------
    str
        Such as ``3 Jun 2029``.

    Examples
    --------
    >>> day("2029-06-03")
    '3 Jun 2029'
    """
    if not text:
        return "date not known"
    found = datetime.date.fromisoformat(text[:10])
    return f"{found.day} {found:%b %Y}"


def _shows_something(text: str) -> bool:
    return any(digit in text for digit in "123456789")


def plural(count: int, one: str, many: str | None = None) -> str:
    """Write a count with its noun.

    Parameters
    ----------
    count : int
        How many.
    one, many : str
        The noun; an s is added where `many` is not given.

    Returns
    -------
    str
        Such as ``3 tanks``.

    Examples
    --------
    >>> plural(1, "tank"), plural(2, "survey")
    ('1 tank', '2 surveys')
    """
    return f"{number(count, 0)} {one if count == 1 else many or one + 's'}"
