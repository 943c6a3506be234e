"""Shapes that other moments leave in the residuals, and how far the readings show each of them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import special

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.line import MomentLine
from heelwright_service.core.linefit import ZERO_RELATIVE_TOLERANCE

Array = NDArray[np.float64]

ROUNDING = 1e-9
"""Residuals smaller than this share of the full scale are rounding, not a pattern."""

STOP_FROM = 0.75
"""A stop is looked for beyond this share of the largest moment of a side."""


@dataclass(frozen=True)
class Pattern:
    """One shape fitted beside the line.

    Parameters
    ----------
    name : str
        Which shape: ``bend``, ``starboard-stiffness``, ``starboard-step``, ``port-step``, ``starboard-stop``,
        ``port-stop``, ``hysteresis`` or ``drift``.
    departure : float
        Signed size of the shape where it is largest, as a share of the full-scale tangent.
    probability : float
        Two-sided probability that scatter alone gives a shape as large, times the number of shapes tried.
    by_instrument : dict of int to float
        The same signed size from each instrument alone, for those with readings enough.
    alone : int or None
        The instrument on whose readings alone the shape was fitted; None for all together.
    """

    name: str
    departure: float
    probability: float
    by_instrument: dict[int, float]
    alone: int | None = None


def patterns(given: CheckInput, line: MomentLine) -> list[Pattern]:
    """Fit every shape beside the line, to all readings and to each instrument's own, the least likely chance first.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    line : MomentLine
        Its moment line.

    Returns
    -------
    list of Pattern
        Those that the readings can tell from the line; of equally unlikely ones those of all readings first.

    Notes
    -----
    Each shape is one more column of the regression, judged by Student's t; shapes: the cube of the moment (bent alike
    to both sides), a slope of its own to starboard (one side stiffer), steps (a moment present on one side only), stops
    (another slope beyond three quarters of the largest moment of a side: something met at the largest heel), the
    direction of the last movement (hysteresis), the order of the states (drift). Derived here; the shapes are those of
    the 2008 IS Code part B annex 1, figures to 4.3.2 (from memory).
    """
    columns, all_of_them = _columns(given, line), np.ones(len(line.tangents), bool)
    instruments = [int(i) for i in np.unique(line.instrument)]
    found = [(_fitted(name, column, line, all_of_them, True), 1) for name, column in columns.items()]
    if len(instruments) > 1:
        for i in instruments:
            own = [_fitted(name, column, line, line.instrument == i, False) for name, column in columns.items()]
            found += [
                (each and replace(each, by_instrument={i: each.departure}, alone=i), len(instruments)) for each in own
            ]
    tried = [
        replace(each, probability=min(1.0, each.probability * len(columns) * ways)) for each, ways in found if each
    ]
    return sorted(tried, key=lambda pattern: pattern.probability)


def _columns(given: CheckInput, line: MomentLine) -> dict[str, Array]:
    share = line.moments_t_m / np.abs(line.moments_t_m).max()
    moments = given.state_moments_t_m
    directions = np.sign(np.diff(moments, prepend=moments[0]))
    right, left = share > ZERO_RELATIVE_TOLERANCE, share < -ZERO_RELATIVE_TOLERANCE
    return {
        "bend": share**3,
        "starboard-stiffness": np.maximum(share, 0.0),
        "starboard-step": right.astype(float),
        "port-step": left.astype(float),
        "starboard-stop": np.maximum(share - STOP_FROM * max(float(share.max()), 0.0), 0.0),
        "port-stop": np.maximum(-share - STOP_FROM * max(float(-share.min()), 0.0), 0.0),
        "hysteresis": directions[line.state],
        "drift": line.state.astype(float) / max(int(line.state.max()), 1),
    }


def _fitted(
    name: str, column: Array, line: MomentLine, chosen: NDArray[np.bool_], with_instruments: bool
) -> Pattern | None:
    groups = [int(g) for g in np.unique(line.instrument[chosen]) if int(g) not in line.fixed]
    base = [(line.instrument[chosen] == g).astype(float) for g in groups]
    straight = np.column_stack([*base, line.moments_t_m[chosen] / np.abs(line.moments_t_m).max()])
    values, shape = line.tangents[chosen], column[chosen]
    freedom = len(values) - straight.shape[1] - 1
    rest = shape - straight @ np.linalg.lstsq(straight, shape, rcond=None)[0]
    left = values - straight @ np.linalg.lstsq(straight, values, rcond=None)[0]
    size = float(rest @ rest)
    if freedom < 1 or size < ROUNDING * max(float(shape @ shape), ROUNDING):
        return None
    term = float(rest @ left) / size
    remaining = float(np.sum((left - term * rest) ** 2)) / freedom
    spread = max(np.sqrt(remaining / size), ROUNDING * line.full_scale / np.sqrt(size))
    departure = term * float(np.abs(rest).max()) / line.full_scale
    probability = float(2.0 * special.stdtr(freedom, -abs(term) / spread))
    return Pattern(name, departure, probability, _each(name, column, line) if with_instruments else {})


def _each(name: str, column: Array, line: MomentLine) -> dict[int, float]:
    sizes = {}
    for instrument in np.unique(line.instrument):
        alone = _fitted(name, column, line, line.instrument == instrument, False)
        if alone is not None:
            sizes[int(instrument)] = alone.departure
    return sizes
