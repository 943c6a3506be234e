"""The lightship table: every row of the way from the ship as inclined to the empty ship, with its moments."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.chain import Outcome
from heelwright_service.core.liquids import X_ROW, Z_ROW
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.test_result import LightshipRow

Array = NDArray[np.float64]


def known(value: float) -> float | None:
    """A number, or None where it is not known.

    Parameters
    ----------
    value : float
        A number that may be NaN.

    Returns
    -------
    float or None
        None for NaN.

    Examples
    --------
    >>> known(float("nan")) is None, known(2.0)
    (True, 2.0)
    """
    return None if np.isnan(value) else float(value)


def lightship_table(test: PreparedTest, outcome: Outcome, method: str) -> list[LightshipRow]:
    """List the rows that make the lightship, which add up to it.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    outcome : Outcome
        The nominal outcome, shape (1,).
    method : str
        Whose as-inclined centre stands in the first row.

    Returns
    -------
    list of LightshipRow
        As inclined first, what is deducted with negative mass, what is added with positive, the lightship last. A
        misplaced item is one row without mass: its moments by the move home.
    """
    centre = outcome.centre_m[method][0]
    rows = [_row("Ship as inclined, liquids level", "as inclined", float(outcome.displacement_t[0]), centre)]
    if test.movements is not None:
        places = test.movements.initial_places_m()
        for i, name in enumerate(test.movements.weight_ids):
            rows.append(
                _row(f"Inclining weight {name}", "inclining weights", -float(test.movements.masses_t[i]), places[i])
            )
    for j, tank in enumerate(test.tanks):
        volume, *_ = outcome.contents[0, j]
        if volume > 0.0:
            mass = float(volume) * tank.sounding.density_t_per_m3
            rows.append(_row(f"Tank {tank.tank.name}", "liquids", -mass, outcome.contents[0, j, X_ROW : Z_ROW + 1]))
    carried = test.carried
    for i, name in enumerate(carried.names):
        if carried.groups[i] == "misplaced":
            rows.append(_move(name, float(carried.mass_t[i]), carried.move_m[i]))
        else:
            rows.append(_row(name, carried.groups[i], float(carried.sign[i] * carried.mass_t[i]), carried.at_m[i]))
    light = outcome.lightship[method]
    total = np.array([light.lcg_m[0], light.tcg_m[0], light.vcg_m[0]])
    return [*rows, _row("Lightship", "lightship", float(light.mass_t[0]), total)]


def _row(name: str, group: str, mass: float, at: Array) -> LightshipRow:
    x, y, z = (known(v) for v in at)
    moments = [None if v is None else mass * v for v in (x, y, z)]
    return LightshipRow(name, group, mass, x, y, z, moments[0] or 0.0, moments[1], moments[2])


def _move(name: str, mass: float, move: Array) -> LightshipRow:
    moved = [mass * float(v) for v in move]
    return LightshipRow(f"{name}, moved home", "misplaced", 0.0, None, None, None, moved[0], moved[1], moved[2])
