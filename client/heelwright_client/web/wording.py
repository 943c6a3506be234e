"""Words for the templates, bound to the units that the visitor chose."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from heelwright_client import words
from heelwright_client.units import Dimension, System

STATUS_WORDS = {"fail": "fail", "warn": "look at this", "not-assessed": "not assessed", "pass": "pass"}
"""A check's status as a word, the gravest first."""

_CALL = re.compile(r"\b(?:GET|POST|PUT|PATCH|DELETE)\b")
_DECIMALS: dict[Dimension, int] = {"mass": 1, "length": 3, "moment": 1, "volume": 1, "density": 4}


def for_people(message: str) -> str:
    """Write a message of the service as a sentence of a page: without the calls that only programs make.

    Parameters
    ----------
    message : str
        Clauses parted by semicolons.

    Returns
    -------
    str
        A sentence.

    Examples
    --------
    >>> for_people("there is no vessel 12; list them with GET /v1/vessels")
    'There is no vessel 12.'
    """
    told = ";".join(part for part in message.split(";") if not _CALL.search(part)).strip().rstrip(".") or message
    return f"{told[:1].upper()}{told[1:]}."


class Say:
    """Writes values in one system of units.

    Parameters
    ----------
    system : System
        The visitor's units.
    """

    def __init__(self, system: System) -> None:
        self.system = system

    def unit(self, dimension: Dimension) -> str:
        """Return the symbol of a dimension's unit."""
        return self.system.unit(dimension).symbol

    def number(self, value: float, decimals: int = 0) -> str:
        """Write a plain number."""
        return words.number(value, decimals)

    def bare(self, value: float | None, dimension: Dimension, decimals: int = 2) -> str:
        """Write a value without its unit, for a column whose heading has the unit."""
        if value is None:
            return ""
        return words.number(value / self.system.unit(dimension).to_si, decimals)

    def value(
        self, value: float | None, dimension: Dimension, half: float | None = None, decimals: int | None = None
    ) -> str:
        """Write a value with its unit, to the digits that its interval leaves known."""
        shown = _DECIMALS.get(dimension, 2) if decimals is None else decimals
        return words.quantity(value, dimension, system=self.system, half_width=half, decimals=shown)

    def mass(self, value: float | None, half: float | None = None, decimals: int = 1) -> str:
        """Write a mass."""
        return self.value(value, "mass", half, decimals)

    def length(self, value: float | None, half: float | None = None, decimals: int = 3) -> str:
        """Write a length."""
        return self.value(value, "length", half, decimals)

    def station(self, value: float | None, half: float | None = None, decimals: int = 3) -> str:
        """Write a place along the ship."""
        return self._sided(value, ("fwd of AP", "aft of AP"), half, decimals)

    def offset(self, value: float | None, half: float | None = None, decimals: int = 3) -> str:
        """Write a place across the ship."""
        return self._sided(value, ("S", "P"), half, decimals)

    def _sided(self, value: float | None, sides: tuple[str, str], half: float | None, decimals: int) -> str:
        if value is None:
            return words.quantity(None, "length")
        return words.sided(value, "length", sides, system=self.system, half_width=half, decimals=decimals)

    def height(self, value: float | None, half: float | None = None) -> str:
        """Write a height above the baseline."""
        return words.height(value, self.system, half)

    def draught(self, value: float, half: float | None = None) -> str:
        """Write a draught."""
        return words.draught(value, self.system, half)

    def trim(self, value: float, half: float | None = None) -> str:
        """Write a trim."""
        return words.trim(value, self.system, half)

    def heel(self, value: float, half: float | None = None) -> str:
        """Write a heel."""
        return words.heel(value, half)

    def change(self, name: str, value: float | None, half: float | None = None) -> str:
        """Write how far a quantity has moved."""
        return words.change(name, value, self.system, half)

    def athwart(self, value: float, dimension: Dimension, decimals: int = 1) -> str:
        """Write a transverse value with its side in words."""
        return words.sided(value, dimension, ("to starboard", "to port"), system=self.system, decimals=decimals)

    def ends(self, interval: Mapping[str, Any], dimension: Dimension) -> str:
        """Write the ends of a 95 % interval."""
        half = (interval["high_95"] - interval["low_95"]) / 2.0
        low, high = (self.value(interval[end], dimension, half) for end in ("low_95", "high_95"))
        return f"{low} to {high}"
