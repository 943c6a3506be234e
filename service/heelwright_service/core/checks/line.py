"""The moment line of a test as the checks see it: readings, the pooled line and what is left over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.errors import CoreError
from heelwright_service.core.linefit import LineFit, common_slope
from heelwright_service.core.small_angle import has_zero_mark

Array = NDArray[np.float64]


@dataclass(frozen=True)
class MomentLine:
    """All readings that count, the line through them and its scale.

    Parameters
    ----------
    moments_t_m, tangents : ndarray
        Effective moments [t·m] and tangents of the readings, shape (r,).
    instrument, state : ndarray of int
        Places of instrument and state in their lists, shape (r,).
    fixed : tuple of int
        Instruments whose zero is the upright ship.
    fit : LineFit
        The pooled line: one slope, an intercept for each instrument.
    full_scale : float
        Tangent of the line at the largest moment.
    """

    moments_t_m: Array
    tangents: Array
    instrument: NDArray[np.intp]
    state: NDArray[np.intp]
    fixed: tuple[int, ...]
    fit: LineFit
    full_scale: float


def moment_line(given: CheckInput) -> MomentLine | None:
    """Fit the moment line of a reduction.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    MomentLine or None
        None for a survey, and where the readings are too few for a line with scatter.
    """
    small, read = given.outcome.small_angle, given.test.tangents
    if small is None or read is None:
        return None
    fixed = tuple(int(i) for i in np.flatnonzero(~has_zero_mark(given.test)))
    moments, tangents = small.effective_t_m[0], small.tangents[0]
    try:
        fit = common_slope(moments, tangents, read.instrument_index, fixed)
    except CoreError:
        return None
    scale = abs(fit.slope) * float(np.abs(moments).max())
    if scale <= 0.0:
        return None
    return MomentLine(moments, tangents, read.instrument_index, read.state_index, fixed, fit, scale)


def reading_name(given: CheckInput, line: MomentLine, index: int) -> str:
    """Name a reading as people do.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    line : MomentLine
        Its line.
    index : int
        Place of the reading.

    Returns
    -------
    str
        Such as ``P2 in state 5``.
    """
    instrument = given.record.instruments[int(line.instrument[index])].id
    return f"{instrument} in state {state_number(given, int(line.state[index]))}"


def state_number(given: CheckInput, place: int) -> int:
    """Number of the state at a place in their order.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    place : int
        Place in rising order of numbers.

    Returns
    -------
    int
        Its number in the record.
    """
    moved = given.test.movements
    return place if moved is None else moved.numbers[place]


def span_m(given: CheckInput, instrument: int) -> float | None:
    """Length on which an instrument's tangent shows as a distance.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    instrument : int
        Its place in the record.

    Returns
    -------
    float or None
        Its own length [m]; for an inclinometer the longest pendulum's or U-tube's that was read, None without one.
    """
    read = given.test.tangents
    own = given.record.instruments[instrument].length_m
    if own is not None or read is None:
        return own
    used = set(read.instrument_index.tolist())
    lengths = [one.length_m for i, one in enumerate(given.record.instruments) if i in used and one.length_m is not None]
    return max(lengths, default=None)
