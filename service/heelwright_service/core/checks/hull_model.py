"""Checks of slips inside the hydrostatic model: appendages that cannot be, a row of a table that leaps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import at_most, judged, unassessed
from heelwright_service.core.record import Appendage, TableRow
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, listed, number

PERCENT = 100.0
LEAST_ROWS = 5
"""Rows at one trim from which a row can be compared with the cubic through four others."""


def checks(given: CheckInput) -> list[Check]:
    """Judge the appendages of a hull form, or the smoothness of a table.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``appendages-size``, ``appendages-height`` and ``table-smooth``.
    """
    hull, table = given.record.vessel.hull, given.record.vessel.hydrostatic_table
    rule, smooth = given.rule("appendages"), given.rule("table-smooth")
    if hull is not None:
        unused = unassessed(smooth, "The hull form serves, no table.")
        return [_size(given, hull.appendages), _height(given, hull.appendages), unused]
    bare = [unassessed(rule, "Without a hull form there are none.", aspect=aspect) for aspect in ("-size", "-height")]
    return [*bare, _smooth(given, () if table is None else table.rows)]


def _size(given: CheckInput, appendages: Sequence[Appendage]) -> Check:
    rule = given.rule("appendages")
    limit = rule["maximum_percent_of_volume"]
    shares = {one.name: abs(one.volume_m3) / float(given.outcome.volume_m3[0]) * PERCENT for one in appendages}
    if not shares:
        return judged(rule, True, "The hull form has no appendages.", None, None, aspect="-size")
    largest = max(shares, key=lambda name: shares[name])
    value = shares[largest]
    text = (
        f"The largest appendage is {largest}, {number(value, 2, limit)} % of the displaced volume; up to "
        f"{figure(limit)} % is usual."
    )
    kept = at_most(value, limit)
    return judged(rule, kept, text + ("" if kept else " Check its volume and unit (m³)."), value, limit, aspect="-size")


def _height(given: CheckInput, appendages: Sequence[Appendage]) -> Check:
    rule = given.rule("appendages")
    planes = given.outcome.planes
    surface = float(planes.t0_m[0]), float(planes.slope_x[0]), float(planes.slope_y[0])
    dry = [one.name for one in appendages if one.z_m > surface[0] + surface[1] * one.x_m + surface[2] * one.y_m]
    named = (
        f": {listed(dry)}. They are counted as displacing all the same; take them out or mend their z" if dry else ""
    )
    text = f"{len(dry)} of {len(appendages)} appendages have their centre above the water{named}; 0 are allowed."
    return judged(rule, not dry, text, len(dry), 0, aspect="-height")


def _smooth(given: CheckInput, rows: Sequence[TableRow]) -> Check:
    rule = given.rule("table-smooth")
    limit = rule["maximum_percent"]
    by_trim: dict[float, list[TableRow]] = defaultdict(list)
    for row in rows:
        if row.volume_m3 > 0.0:
            by_trim[row.trim_m].append(row)
    found = [leap for column in by_trim.values() for leap in _leaps(column, given.length_m)]
    if not found:
        return unassessed(rule, f"No trim of the table has {LEAST_ROWS} draughts, so no row can be compared.")
    value, what, row = max(found, key=lambda leap: leap[0])
    kept = at_most(value, limit)
    text = (
        f"The row least like its neighbours is draught {row.draught_m:g} m at trim {row.trim_m:g} m: its {what} is "
        f"{number(value, 2, limit)} % off the curve through four others; {figure(limit)} % is allowed."
        + ("" if kept else " Look for a slip of a digit in this row or the next to it.")
    )
    return judged(rule, kept, text, value, limit)


def _leaps(column: Sequence[TableRow], length_m: float) -> list[tuple[float, str, TableRow]]:
    """How far each row lies off the cubic through the four nearest others [%], with the quantity."""
    rows = sorted(column, key=lambda row: row.draught_m)
    if len(rows) < LEAST_ROWS:
        return []
    draughts = np.array([row.draught_m for row in rows])
    volume = np.array([row.volume_m3 for row in rows])
    told = {
        "volume": (volume, volume),
        "LCB": (volume * [row.lcb_m for row in rows], volume * length_m),
        "VCB": (volume * [row.vcb_m for row in rows], volume * draughts),
        "KM": (volume * [row.km_t_m - row.vcb_m for row in rows], volume * [row.km_t_m - row.vcb_m for row in rows]),
    }
    found = []
    for what, (values, scale) in told.items():
        for i in range(1, len(rows) - 1):
            others = np.array(sorted((k for k in range(len(rows)) if k != i), key=lambda k: abs(k - i))[:4])
            expected = _cubic(draughts[others], values[others], draughts[i])
            found.append((abs(values[i] - expected) / abs(scale[i]) * PERCENT, what, rows[i]))
    return found


def _cubic(x: np.ndarray, y: np.ndarray, at: float) -> float:
    weights = [np.prod([(at - other) / (one - other) for other in x if other != one]) for one in x]
    return float(np.dot(weights, y))
