"""What a reduction says of its doubts besides the intervals: how they were found, and what would narrow them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.cli.page import paragraph
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.units import Dimension, System
from heelwright_client.words import number, quantity

_NAMES: Mapping[str, tuple[str, Dimension]] = {
    "displacement_t": ("displacement", "mass"),
    "gm_fluid_m": ("GM, fluid", "length"),
    "kg_m": ("KG as inclined", "length"),
    "mass_t": ("lightship mass", "mass"),
    "lcg_m": ("LCG", "length"),
    "tcg_m": ("TCG", "length"),
    "vcg_m": ("VCG", "length"),
}


def narrowing_lines(doubts: Mapping[str, Any] | None, width: int) -> list[Line]:
    """Lay out the sentences on what would narrow the interval.

    Parameters
    ----------
    doubts : Mapping or None
        The ``uncertainty`` of a reduction.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        Nothing where there is nothing to say.
    """
    sentences = (doubts or {}).get("sentences") or []
    if not sentences:
        return []
    wrapped = [paragraph(text, width, "  - ", "    ") for text in sentences]
    return [Line("What would narrow it", "title"), *(Line(text) for lines in wrapped for text in lines), Line("")]


def validation_lines(doubts: Mapping[str, Any] | None, system: System, width: int) -> list[Line]:
    """Lay out a simulation beside the linear result, with the verdict on the linear one.

    Parameters
    ----------
    doubts : Mapping or None
        The ``uncertainty`` of a reduction.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        Nothing unless it was a simulation.
    """
    if doubts is None or doubts.get("draws") is None:
        return []
    settled = "its ends are stable" if doubts.get("stable") else "too few draws to call its ends stable"
    head = f"Monte Carlo of {number(doubts['draws'], 0)} draws, seed {doubts['seed']}: {settled}"
    rows = []
    for name, found in doubts["quantities"].items():
        if found is None:
            continue
        words, dimension = _NAMES[name]
        verdict = "validated" if found["linear_validated"] else "not validated"
        rows.append(
            [
                words,
                _ends(found, ("low_95", "high_95"), dimension, system),
                _ends(found, ("shortest_low_95", "shortest_high_95"), dimension, system),
                _ends(found, ("linear_low_95", "linear_high_95"), dimension, system),
                verdict,
            ]
        )
    columns = [
        Column("95 % interval"),
        Column("symmetric"),
        Column("shortest"),
        Column("linear"),
        Column("linear result (JCGM 101, 8)"),
    ]
    return [Line(head, "title"), *table(columns, rows, width=width), Line("")]


def _ends(found: Mapping[str, Any], names: tuple[str, str], dimension: Dimension, system: System) -> str:
    half = (found["high_95"] - found["low_95"]) / 2.0
    return " to ".join(quantity(found[name], dimension, system=system, half_width=half) for name in names)


def lever_lines(levers: Mapping[str, Any] | None, system: System, width: int) -> list[Line]:
    """Lay out what would better a planned test, the cheapest first.

    Parameters
    ----------
    levers : Mapping or None
        The ``levers`` of a weight plan.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        Nothing where there are none.
    """
    if not levers:
        return []
    rows = [
        [
            one["text"],
            f"±{quantity(one['gm_m'], 'length', system=system, decimals=4)}",
            f"±{quantity(one['kg_m'], 'length', system=system, decimals=4)}",
            {True: "reaches the target", False: "", None: ""}[one["enough"]],
        ]
        for one in levers["levers"]
    ]
    columns = [
        Column("each by itself, the cheapest first", wraps=1),
        Column("GM, 95 %"),
        Column("KG, 95 %"),
        Column(""),
    ]
    told = paragraph(levers["sentence"], width, "  ", "  ")
    head = Line("What would sharpen the result", "title")
    return [head, *table(columns, rows, width=width), *map(Line, told), Line("")]
