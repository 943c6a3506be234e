"""Whether an instrument that is said to read zero upright agrees with the list of the waterline."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import at_most, judged, unassessed
from heelwright_service.core.linefit import ZERO_RELATIVE_TOLERANCE
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, number, to_side


def checks(given: CheckInput) -> list[Check]:
    """Judge upright zeros.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``upright-zero``; none for a survey.
    """
    small, read = given.outcome.small_angle, given.test.tangents
    if small is None or read is None:
        return []
    rule = given.rule("upright-zero")
    used = [i for i in np.unique(read.instrument_index) if not read.from_zero_mark[i]]
    if not used:
        return [unassessed(rule, "No instrument is said to read zero when the ship is upright.")]
    if not given.test.fit.determined[2]:
        return [unassessed(rule, "The draughts do not tell the list, so nothing checks the upright zeros.")]
    by_water = float(np.degrees(np.arctan(given.outcome.planes.slope_y[0])))
    lists = {int(i): float(np.degrees(np.arctan(_initial_tangent(given, int(i))))) for i in used}
    worst = max(lists, key=lambda i: abs(lists[i] - by_water))
    value = abs(lists[worst] - by_water)
    limit = max(rule["least_deg"], rule["coverage_factor"] * _standard_deg(given, worst))
    kept = at_most(value, limit)
    name = given.record.instruments[worst].id
    allowed = figure(limit) if limit == rule["least_deg"] else number(limit, 3)
    text = (
        f"{name}, said to read zero upright, shows a list of {to_side(lists[worst])} in the initial state, the "
        f"waterline one of {to_side(by_water)}: {number(value, 3, limit)}° apart; {allowed}° is allowed."
        + (
            ""
            if kept
            else " TCG rests on the instrument: check its zero, or call it arbitrary and let the draughts tell."
        )
    )
    return [judged(rule, kept, text, value, limit)]


def _still(given: CheckInput, index: int) -> np.ndarray:
    """The readings of an instrument without moment; all where there are none."""
    read, small = given.test.tangents, given.outcome.small_angle
    assert read is not None  # noqa: S101 - `checks` has asked
    assert small is not None  # noqa: S101 - `checks` has asked
    moments = small.effective_t_m[0]
    mine = read.instrument_index == index
    still = mine & (np.abs(moments) <= ZERO_RELATIVE_TOLERANCE * np.abs(moments).max())
    return np.asarray(np.flatnonzero(still if still.any() else mine))


def _initial_tangent(given: CheckInput, index: int) -> float:
    small = given.outcome.small_angle
    assert small is not None  # noqa: S101 - `checks` has asked
    chosen = _still(given, index)
    return float((small.tangents[0] - small.slope[0] * small.effective_t_m[0])[chosen].mean())


def _standard_deg(given: CheckInput, index: int) -> float:
    """Standard uncertainty of the difference: the heights read and the stated uncertainty of a reading."""
    water = float(np.sqrt(np.sum((given.test.fit.matrix[2] * given.height_standards_m) ** 2)))
    length = given.record.instruments[index].length_m
    standard = given.test.standard
    one = np.radians(standard.reading_deg) if length is None else standard.reading_m / length
    return float(np.degrees(np.hypot(water, one / np.sqrt(len(_still(given, index))))))
