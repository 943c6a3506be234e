"""What an interval would be with an input known better or worse: two reductions side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.options import QuantityType
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.units import Dimension, System
from heelwright_client.words import quantity

_ROWS: tuple[tuple[str, str, Dimension], ...] = (
    ("displacement_t", "displacement", "mass"),
    ("gm_fluid_m", "GM, fluid", "length"),
    ("kg_m", "KG as inclined", "length"),
    ("mass_t", "lightship mass", "mass"),
    ("lcg_m", "LCG", "length"),
    ("tcg_m", "TCG", "length"),
    ("vcg_m", "VCG", "length"),
)


class WhatIfType(click.ParamType[tuple[str, float]]):
    """One standard uncertainty: ``draught_m=0.003``, or with its own unit, ``draught_m=3 mm``."""

    name = "NAME=VALUE"

    def convert(
        self,
        value: Any,  # noqa: ANN401 (as the base class has it)
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> tuple[str, float]:
        """Read one option.

        Parameters
        ----------
        value : str
            As typed.
        param, ctx
            As click gives them.

        Returns
        -------
        tuple of str and float
            Name and value in SI.
        """
        if isinstance(value, tuple):
            return value
        name, equals, text = str(value).partition("=")
        if not equals or not name.strip():
            self.fail(f"{value!r} is not NAME=VALUE, such as draught_m=0.003.", param, ctx)
        endings: tuple[tuple[str, Dimension], ...] = (("_t_m", "moment"), ("_m", "length"), ("_t", "mass"))
        dimension = next((dimension for ending, dimension in endings if name.endswith(ending)), None)
        if dimension is not None:
            return name.strip(), QuantityType(dimension).convert(text, param, ctx)
        try:
            return name.strip(), float(text)
        except ValueError:
            self.fail(f"{text!r} is not a number.", param, ctx)


def changed_record(record: Mapping[str, Any], changes: Sequence[tuple[str, float]]) -> dict[str, Any]:
    """Copy a record with other standard uncertainties.

    Parameters
    ----------
    record : Mapping
        The record.
    changes : sequence of tuple of str and float
        Names of the record's ``uncertainties`` with their values in SI.

    Returns
    -------
    dict
        The record with them.
    """
    return {**record, "uncertainties": {**(record.get("uncertainties") or {}), **dict(changes)}}


def what_if_lines(
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    changes: Sequence[tuple[str, float]],
    system: System,
    width: int,
) -> list[Line]:
    """Lay the intervals of two reductions side by side.

    Parameters
    ----------
    before, after : Mapping
        The reductions as recorded, and with the changed uncertainties.
    changes : sequence of tuple of str and float
        What was changed.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        One row a quantity.
    """
    old, new = ((one.get("uncertainty") or {}).get("quantities") or {} for one in (before, after))
    rows = []
    for name, words, dimension in _ROWS:
        if old.get(name) and new.get(name):
            first, second = (_half(found[name]) for found in (old, new))
            shown = [f"±{_shown(half, dimension, system)}" for half in (first, second)]
            rows.append([words, *shown, _ratio(first, second)])
    told = ", ".join(f"{name} = {value:g}" for name, value in changes)
    columns = [Column("95 % interval"), Column("as recorded"), Column("what if"), Column("width", "right")]
    return [Line(f"What if {told}", "title"), *table(columns, rows, width=width)]


def _half(found: Mapping[str, Any]) -> float:
    return float(found["high_95"] - found["low_95"]) / 2.0


def _shown(half: float, dimension: Dimension, system: System) -> str:
    return quantity(half, dimension, system=system, half_width=half if half > 0.0 else None)


def _ratio(first: float, second: float) -> str:
    return f"{100.0 * second / first:.0f} %" if first > 0.0 else "-"
