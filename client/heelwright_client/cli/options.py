"""Option types: a bare number is in the unit that the option's name ends in; another unit must be written out."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from typing import Any

import click

from heelwright_client.errors import EntryError
from heelwright_client.units import UNITS, Dimension, Unit, parse_quantity

_HELP_WIDTH = 74
_BARE = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")


def one_of(what: str, names: Sequence[str]) -> str:
    """List the names that an argument takes, for the end of a command's help; none of them is broken.

    Parameters
    ----------
    what : str
        The argument.
    names : sequence of str
        What it may be.

    Returns
    -------
    str
        Lines that click leaves as they are.
    """
    told = textwrap.wrap(f"{what} is one of {', '.join(names)}.", _HELP_WIDTH, break_on_hyphens=False)
    return "\n".join(("\b", *told))


class QuantityType(click.ParamType[float]):
    """A quantity in the SI unit that the option names, or with its own unit written behind it.

    Parameters
    ----------
    dimension : str
        Such as ``length``.
    """

    def __init__(self, dimension: Dimension) -> None:
        self.dimension = dimension
        self.name = "quantity"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:  # noqa: ANN401 (as the base class has it)
        """Read one value.

        Parameters
        ----------
        value : str or float
            As typed.
        param, ctx
            As click gives them.

        Returns
        -------
        float
            In the SI unit.
        """
        if isinstance(value, float):
            return value
        text = str(value).strip()
        if _BARE.fullmatch(text):
            return float(text)
        try:
            return parse_quantity(text, self.dimension)
        except EntryError as error:
            self.fail(str(error), param, ctx)


class PartsType(click.ParamType[dict[str, Any]]):
    """Several values in one option, separated by colons, as its help names them.

    Parameters
    ----------
    *parts : str
        Names of the values; one with a question mark may be left out. A name that ends in a unit is a quantity, in
        that unit where none is written; one that ends in ``count`` or ``side`` is a whole number.
    """

    def __init__(self, *parts: str) -> None:
        self._names = [part.rstrip("?") for part in parts]
        self._required = sum(not part.endswith("?") for part in parts)
        self.name = ":".join(part.upper().replace("?", "") for part in parts)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> dict[str, Any]:  # noqa: ANN401 (as the base class has it)
        """Read one option into a document.

        Parameters
        ----------
        value : str
            As typed.
        param, ctx
            As click gives them.

        Returns
        -------
        dict
            Values by name.
        """
        if isinstance(value, dict):
            return value
        texts = [text.strip() for text in str(value).split(":")]
        if not self._required <= len(texts) <= len(self._names):
            self.fail(f"{value!r} has {len(texts)} parts; wanted is {self.name}.", param, ctx)
        pairs = zip(self._names, texts, strict=False)
        return {name: self._one(name, text, param, ctx) for name, text in pairs if text}

    def _one(self, name: str, text: str, param: click.Parameter | None, ctx: click.Context | None) -> str | float | int:
        if name.endswith(("count", "side")):
            if not text.isdecimal():
                self.fail(f"{name} must be a whole number, not {text!r}.", param, ctx)
            return int(text)
        scale = _unit_of(name)
        if scale is None:
            return text
        if _BARE.fullmatch(text):
            return float(text)
        if scale.symbol not in UNITS:
            self.fail(f"{name} must be a number in {scale.symbol}, not {text!r}.", param, ctx)
        return QuantityType(scale.dimension).convert(text, param, ctx) / scale.to_si


def _unit_of(name: str) -> Unit | None:
    endings = {
        "_t_per_m2": Unit("t/m²", "mass", 1.0),
        "_mm": UNITS["mm"],
        "_m2": UNITS["m²"],
        "_m": UNITS["m"],
        "_t": UNITS["t"],
        "_deg": UNITS["deg"],
    }
    return next((unit for ending, unit in endings.items() if name.endswith(ending)), None)
