"""Units at the edge: what people read and type, against the SI units that the service speaks.

Exact definitions: the international foot is 0.3048 m and the avoirdupois pound 0.45359237 kg (Federal Register 59-5442,
1 July 1959); the long ton is 2240 lb (NIST Handbook 44, appendix C), so 1.0160469088 t.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from heelwright_client.errors import EntryError

Dimension = Literal[
    "length",
    "mass",
    "moment",
    "area",
    "volume",
    "density",
    "angle",
    "mass per immersion",
    "moment per trim",
]
SystemName = Literal["si", "us", "us-decimal"]

_FOOT_M = 0.3048
_INCH_M = 0.0254
_POUND_T = 0.00045359237
_LONG_TON_T = 1.0160469088
_INCH_CM = 2.54


@dataclass(frozen=True)
class Unit:
    """A unit of one dimension; a value in SI is the number times `to_si`."""

    symbol: str
    dimension: Dimension
    to_si: float


def _unit(symbol: str, dimension: Dimension, to_si: float) -> tuple[str, Unit]:
    return symbol, Unit(symbol, dimension, to_si)


UNITS: MappingProxyType[str, Unit] = MappingProxyType(
    dict(
        [
            _unit("m", "length", 1.0),
            _unit("cm", "length", 0.01),
            _unit("mm", "length", 0.001),
            _unit("ft", "length", _FOOT_M),
            _unit("in", "length", _INCH_M),
            _unit("t", "mass", 1.0),
            _unit("kg", "mass", 0.001),
            _unit("LT", "mass", _LONG_TON_T),
            _unit("lb", "mass", _POUND_T),
            _unit("t·m", "moment", 1.0),
            _unit("LT·ft", "moment", _LONG_TON_T * _FOOT_M),
            _unit("m²", "area", 1.0),
            _unit("ft²", "area", _FOOT_M**2),
            _unit("m³", "volume", 1.0),
            _unit("ft³", "volume", _FOOT_M**3),
            _unit("t/m³", "density", 1.0),
            _unit("kg/m³", "density", 0.001),
            _unit("LT/ft³", "density", _LONG_TON_T / _FOOT_M**3),
            _unit("lb/ft³", "density", _POUND_T / _FOOT_M**3),
            _unit("°", "angle", 1.0),
            _unit("deg", "angle", 1.0),
            _unit("t/cm", "mass per immersion", 1.0),
            _unit("LT/in", "mass per immersion", _LONG_TON_T / _INCH_CM),
            _unit("t·m/cm", "moment per trim", 1.0),
            _unit("LT·ft/in", "moment per trim", _LONG_TON_T * _FOOT_M / _INCH_CM),
        ]
    )
)

_SI_UNITS: dict[Dimension, str] = {
    "length": "m",
    "mass": "t",
    "moment": "t·m",
    "area": "m²",
    "volume": "m³",
    "density": "t/m³",
    "angle": "°",
    "mass per immersion": "t/cm",
    "moment per trim": "t·m/cm",
}
_US_UNITS: dict[Dimension, str] = {
    "length": "ft",
    "mass": "LT",
    "moment": "LT·ft",
    "area": "ft²",
    "volume": "ft³",
    "density": "LT/ft³",
    "angle": "°",
    "mass per immersion": "LT/in",
    "moment per trim": "LT·ft/in",
}


@dataclass(frozen=True)
class System:
    """A choice of display units; `inches` shows draughts and trims in feet and inches."""

    name: SystemName
    units: MappingProxyType[Dimension, str]
    inches: bool = False

    def unit(self, dimension: Dimension) -> Unit:
        """Return the display unit of a dimension.

        Parameters
        ----------
        dimension : str
            Such as ``length``.

        Returns
        -------
        Unit
            Of that dimension.
        """
        return UNITS[self.units[dimension]]


SI = System("si", MappingProxyType(_SI_UNITS))
US = System("us", MappingProxyType(_US_UNITS), inches=True)
US_DECIMAL = System("us-decimal", MappingProxyType(_US_UNITS))
SYSTEMS: MappingProxyType[str, System] = MappingProxyType({system.name: system for system in (SI, US, US_DECIMAL)})

_AMBIGUOUS = {
    "ton": "short, long or metric; write t, LT or lb",
    "tons": "short, long or metric; write t, LT or lb",
    "T": "a ton of which kind; write t, LT or lb",
    "mt": "a metric ton or a milli-ton; write t",
    "MT": "a metric ton or a mega-ton; write t",
    "ST": "a short ton or a stone; write lb",
    "#": "pounds or a number; write lb",
}
_SPELLINGS = {
    "'": "ft",
    "′": "ft",
    "feet": "ft",
    "foot": "ft",
    '"': "in",
    "″": "in",
    "inch": "in",
    "inches": "in",
    "lt": "LT",
    "lbs": "lb",
    "tonne": "t",
    "tonnes": "t",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "t.m": "t·m",
    "t*m": "t·m",
    "tm": "t·m",
    "LT.ft": "LT·ft",
    "LT*ft": "LT·ft",
    "t/m3": "t/m³",
    "kg/m3": "kg/m³",
    "lb/ft3": "lb/ft³",
    "LT/ft3": "LT/ft³",
    "m3": "m³",
    "ft3": "ft³",
    "m2": "m²",
    "ft2": "ft²",
    "degrees": "deg",
}
_NUMBER = r"(?P<whole>\d+(?:\.\d+)?|\.\d+)(?:[ -](?P<over>\d+)/(?P<under>\d+))?"
_PART = re.compile(rf"\s*-?\s*{_NUMBER}\s*(?P<unit>[^\s\d-][^\s\d-]*[²³23]?|)")
_SIGN = re.compile(r"\s*(?P<sign>[+−-]?)\s*(?P<rest>.*?)\s*$", re.DOTALL)
_LONGEST_ENTRY = 64


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Convert a number from one unit to another of the same dimension.

    Parameters
    ----------
    value : float
        The number, in `from_unit`.
    from_unit, to_unit : str
        Symbols of `UNITS`.

    Returns
    -------
    float
        The number, in `to_unit`.

    Raises
    ------
    EntryError
        When a symbol is unknown or the dimensions differ.

    Examples
    --------
    >>> convert(1.0, "LT", "t")
    1.0160469088
    """
    source, target = named_unit(from_unit), named_unit(to_unit)
    if source.dimension != target.dimension:
        raise EntryError(f"{from_unit} is a unit of {source.dimension}, {to_unit} of {target.dimension}.")
    return value if source is target else value * source.to_si / target.to_si


def named_unit(text: str) -> Unit:
    """Look up a unit by its symbol or a usual spelling.

    Parameters
    ----------
    text : str
        Such as ``t``, ``LT``, ``ft``, ``t/m3``.

    Returns
    -------
    Unit
        The unit.

    Raises
    ------
    EntryError
        When the unit is unknown, or means two things.
    """
    if text in _AMBIGUOUS:
        raise EntryError(f"The unit {text} is ambiguous: {_AMBIGUOUS[text]}.")
    symbol = _SPELLINGS.get(text, text)
    if symbol not in UNITS:
        raise EntryError(f"The unit {text!r} is unknown; known are {', '.join(UNITS)}.")
    return UNITS[symbol]


def parse_quantity(text: str, dimension: Dimension) -> float:
    """Read what a person typed, unit included, into the SI value.

    Parameters
    ----------
    text : str
        Such as ``12.5 m``, ``12 ft 3 1/2 in``, ``12'-3.5"``, ``240 LT``. The unit must be written.
    dimension : str
        What the value must be.

    Returns
    -------
    float
        The value in the SI unit of the dimension (m, t, t·m, m², m³, t/m³, degrees, t/cm, t·m/cm).

    Raises
    ------
    EntryError
        When there is no number, no unit, an ambiguous unit, or one of another dimension.

    Examples
    --------
    >>> round(parse_quantity("12 ft 6 in", "length"), 6)
    3.81
    """
    if len(text) > _LONGEST_ENTRY:
        raise EntryError(f"An entry of {len(text)} characters is not a quantity.")
    signed = _SIGN.match(text)
    sign, rest = (signed["sign"], signed["rest"]) if signed else ("", text)
    parts = _parts(rest, text, dimension)
    total = math.fsum(number * unit.to_si for number, unit in parts)
    return -total if sign in ("-", "−") else total


def _parts(rest: str, text: str, dimension: Dimension) -> list[tuple[float, Unit]]:
    parts: list[tuple[float, Unit]] = []
    at = 0
    while at < len(rest):
        found = _PART.match(rest, at)
        if found is None:
            raise EntryError(f"{text!r} is not a number with a unit of {dimension}.")
        parts.append((_number(found, text), _checked_unit(found["unit"], text, dimension)))
        at = found.end()
    symbols = [unit.symbol for _, unit in parts]
    if not parts or (len(parts) > 1 and symbols != ["ft", "in"]):
        raise EntryError(f"{text!r} is not one number with a unit of {dimension} (or feet and inches).")
    return parts


def _number(found: re.Match[str], text: str) -> float:
    number = float(found["whole"])
    if found["over"] is None:
        return number
    if int(found["under"]) == 0:
        raise EntryError(f"{text!r} divides by zero.")
    return number + int(found["over"]) / int(found["under"])


def _checked_unit(symbol: str, text: str, dimension: Dimension) -> Unit:
    if not symbol:
        raise EntryError(f"{text!r} has no unit; write one of {dimension}, such as {_SI_UNITS[dimension]}.")
    unit = named_unit(symbol)
    if unit.dimension != dimension:
        raise EntryError(f"{text!r} is a {unit.dimension}; a {dimension} is wanted, such as {_SI_UNITS[dimension]}.")
    return unit


def feet_and_inches(value_m: float, denominator: int = 8) -> str:
    """Write a length without its sign in feet, inches and a fraction of an inch.

    Parameters
    ----------
    value_m : float
        Length [m].
    denominator : int
        Smallest fraction of an inch shown, such as 8 for eighths.

    Returns
    -------
    str
        Such as ``12 ft 3 1/4 in``.

    Examples
    --------
    >>> feet_and_inches(3.81)
    '12 ft 6 in'
    """
    steps = round(abs(value_m) / _INCH_M * denominator)
    inches, part = divmod(steps, denominator)
    feet, inches = divmod(inches, 12)
    if not part:
        return f"{feet} ft {inches} in"
    shared = math.gcd(part, denominator)
    return f"{feet} ft {inches} {part // shared}/{denominator // shared} in"
