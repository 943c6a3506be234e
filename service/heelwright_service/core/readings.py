"""Readings of pendulums, U-tubes and inclinometers turned into tangents of heel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import Instrument, Reading

Array = NDArray[np.float64]

MILLIMETRES = 1000.0

CLEAR_OF_MEAN = 0.5
"""A record is clear of its mean beyond this share of its standard deviation."""


@dataclass(frozen=True)
class ReadTangents:
    """All readings that count, as tangents, with what they belong to.

    Parameters
    ----------
    tangents : ndarray
        Tangents of the readings against each instrument's own zero, shape (r,).
    state_index : ndarray of int
        Position of the state in order of its number, shape (r,).
    instrument_index : ndarray of int
        Position of the instrument in the record, shape (r,).
    lengths_m : ndarray
        Pendulum length or leg spacing of each instrument [m], not a number for inclinometers, shape (i,).
    from_zero_mark : ndarray of bool
        Instruments whose zero is arbitrary, shape (i,).
    withdrawn : list of str
        Sentences on the readings left out, with their reasons.
    source : ndarray of int
        Position of each reading in the record, shape (r,).
    """

    tangents: Array
    state_index: NDArray[np.intp]
    instrument_index: NDArray[np.intp]
    lengths_m: Array
    from_zero_mark: NDArray[np.bool_]
    withdrawn: list[str]
    source: NDArray[np.intp]

    def with_errors(self, length_error_m: Array) -> Array:
        """Tangents for many sets of instrument length errors.

        Parameters
        ----------
        length_error_m : ndarray
            What each true length exceeds the stated one by [m], shape (p, i).

        Returns
        -------
        ndarray
            Tangents, shape (p, r): deflection over true length.
        """
        ratio = np.where(np.isnan(self.lengths_m), 1.0, self.lengths_m / (self.lengths_m + length_error_m))
        return np.asarray(self.tangents * ratio[:, self.instrument_index])

    def change_by_state(self, states: int, initial: float = 0.0) -> Array:
        """Change of the heel from the initial state as read.

        Parameters
        ----------
        states : int
            How many states there are, k of them.
        initial : float
            Tangent of the initial list, about which the angles of inclinometers turn.

        Returns
        -------
        ndarray
            Mean over the instruments that were read in the initial state of the changes of their tangents, shape (k,);
            not a number where no such instrument was read.
        """
        means = np.full((len(self.lengths_m), states), np.nan)
        for i, k in zip(*np.unique([self.instrument_index, self.state_index], axis=1), strict=True):
            means[i, k] = self.tangents[(self.instrument_index == i) & (self.state_index == k)].mean()
        change = means - means[:, :1]
        angles = np.isnan(self.lengths_m)
        turned = np.arctan(means[angles]) - np.arctan(means[angles, :1])
        change[angles] = np.tan(np.arctan(initial) + turned) - initial
        known = np.isfinite(change)
        total, count = np.where(known, change, 0.0).sum(axis=0), known.sum(axis=0)
        return np.asarray(np.where(count > 0, total / np.maximum(count, 1), np.nan))


def read_tangents(
    instruments: Sequence[Instrument], readings: Sequence[Reading], state_numbers: Sequence[int]
) -> ReadTangents:
    """Check the readings against instruments and states and turn them into tangents.

    Parameters
    ----------
    instruments : sequence of Instrument
        The instruments of the test.
    readings : sequence of Reading
        All readings; those with a reason of withdrawal are left out of the fit but named.
    state_numbers : sequence of int
        Numbers of the states in rising order.

    Returns
    -------
    ReadTangents
        The readings that count.

    Raises
    ------
    CoreError
        ``instrument-named-twice``, ``instrument-length-missing``, ``instrument-length-not-allowed``,
        ``instrument-unknown``, ``state-unknown``, ``reading-value`` or ``readings-missing``.

    Notes
    -----
    Pendulum: tan φ = deflection/length. U-tube: (rise + fall)/leg spacing. Inclinometer: tan of the angle; samples are
    first averaged over whole oscillations.
    """
    index = _instrument_index(instruments)
    order = {number: k for k, number in enumerate(state_numbers)}
    rows: list[tuple[float, int, int, int]] = []
    withdrawn = []
    for i, reading in enumerate(readings):
        if reading.instrument not in index:
            raise CoreError(
                "instrument-unknown",
                f"The reading names instrument '{reading.instrument}'; the record's instruments are "
                f"{', '.join(repr(name) for name in index) or 'none'}.",
                f"/readings/{i}/instrument",
            )
        if reading.state not in order:
            raise CoreError(
                "state-unknown",
                f"The reading belongs to state {reading.state}, which is not among the states "
                f"{', '.join(map(str, state_numbers)) or '(none)'}.",
                f"/readings/{i}/state",
            )
        place = index[reading.instrument]
        tangent = _tangent(instruments[place], reading, f"/readings/{i}")
        if reading.withdrawn_reason is not None:
            withdrawn.append(f"State {reading.state}, {reading.instrument}: withdrawn, {reading.withdrawn_reason}")
            continue
        rows.append((tangent, order[reading.state], place, i))
    if not rows:
        raise CoreError(
            "readings-missing",
            "States are given but no reading counts; give the readings of a test. A lightweight survey takes one state "
            "alone, which says where its weights stand.",
            "/readings",
        )
    tangents, states, places, source = (np.array(column) for column in zip(*rows, strict=True))
    lengths = np.array([np.nan if instrument.length_m is None else instrument.length_m for instrument in instruments])
    zeros = np.array([instrument.zero == "arbitrary" for instrument in instruments])
    return ReadTangents(tangents.astype(float), states, places, lengths, zeros, withdrawn, source)


def oscillation_mean_deg(samples_deg: Sequence[float]) -> float:
    """Mean of an inclinometer record over whole oscillations.

    Parameters
    ----------
    samples_deg : sequence of float
        Evenly spaced angles [deg], shape (s,).

    Returns
    -------
    float
        The mean between the first and the last passage of the record's own mean in one direction [deg]; the plain mean
        where no whole oscillation is recorded.

    Notes
    -----
    A record that ends within an oscillation is biased by the part left over; counting whole periods removes it. The
    ends of the window are interpolated between samples.

    Examples
    --------
    >>> import math
    >>> record = [1.5 + 0.2 * math.sin(2 * math.pi * i / 40) for i in range(130)]
    >>> round(oscillation_mean_deg(record), 4)
    1.5
    """
    samples = np.asarray(samples_deg, dtype=float)
    mean = float(samples.mean())
    for _ in range(20):
        passages = oscillation_ends(samples, mean)
        if len(passages) < 2:
            return float(samples.mean())
        first, last = float(passages[0]), float(passages[-1])
        grid = np.concatenate([[first], np.arange(int(first) + 1, int(np.ceil(last))), [last]])
        values = np.interp(grid, np.arange(len(samples)), samples)
        better = float(np.trapezoid(values, grid) / (last - first))
        if abs(better - mean) < 1e-12:
            break
        mean = better
    return mean


def oscillation_ends(samples_deg: Array, mean_deg: float) -> Array:
    """Where a record passes its mean from one side to the other, a whole oscillation between any two.

    Parameters
    ----------
    samples_deg : ndarray
        Evenly spaced angles [deg], shape (s,).
    mean_deg : float
        The mean [deg].

    Returns
    -------
    ndarray
        Places between the samples in rising order, of upward or of downward passages, whichever span more; a passage
        counts only when the record has been clear of the mean on both sides, or noise would make passages of its own.
    """
    away = samples_deg - mean_deg
    upward, downward = (_passages(sign * away) for sign in (1.0, -1.0))
    spans = [float(found[-1] - found[0]) if len(found) > 1 else 0.0 for found in (upward, downward)]
    return upward if spans[0] >= spans[1] else downward


def _passages(away: Array) -> Array:
    clear = CLEAR_OF_MEAN * float(np.sqrt(np.mean(away**2)))
    side = np.where(away > clear, 1, np.where(away < -clear, -1, 0))
    known = np.flatnonzero(side)
    turns = np.flatnonzero((side[known[:-1]] < 0) & (side[known[1:]] > 0))
    found = []
    for low, high in zip(known[turns], known[turns + 1], strict=True):
        between = away[low : high + 1]
        i = int(np.flatnonzero((between[:-1] <= 0.0) & (between[1:] > 0.0))[-1])
        found.append(low + i - between[i] / (between[i + 1] - between[i]))
    return np.array(found)


def _instrument_index(instruments: Sequence[Instrument]) -> dict[str, int]:
    index: dict[str, int] = {}
    for i, instrument in enumerate(instruments):
        if instrument.id in index:
            raise CoreError(
                "instrument-named-twice", f"Instrument '{instrument.id}' is listed twice.", f"/instruments/{i}/id"
            )
        index[instrument.id] = i
        needs_length = instrument.kind != "inclinometer"
        if needs_length and instrument.length_m is None:
            what = "from pivot to batten" if instrument.kind == "pendulum" else "between the legs"
            raise CoreError(
                "instrument-length-missing",
                f"The {instrument.kind} '{instrument.id}' has no length_m; give the length {what} in metres.",
                f"/instruments/{i}/length_m",
            )
        if not needs_length and instrument.length_m is not None:
            raise CoreError(
                "instrument-length-not-allowed",
                f"The inclinometer '{instrument.id}' has a length_m; an inclinometer reads degrees and has none.",
                f"/instruments/{i}/length_m",
            )
    return index


def _tangent(instrument: Instrument, reading: Reading, pointer: str) -> float:
    given = [name for name in ("value_mm", "value_deg", "samples_deg") if getattr(reading, name) is not None]
    allowed = ("value_deg", "samples_deg") if instrument.kind == "inclinometer" else ("value_mm",)
    if len(given) != 1 or given[0] not in allowed:
        raise CoreError(
            "reading-value",
            f"The {instrument.kind} '{instrument.id}' needs exactly one of {' or '.join(allowed)}; found "
            f"{', '.join(given) or 'none'}.",
            f"{pointer}/{given[0] if given else allowed[0]}",
        )
    if reading.value_mm is not None:
        return reading.value_mm / MILLIMETRES / (instrument.length_m or np.nan)
    if reading.value_deg is not None:
        return float(np.tan(np.radians(reading.value_deg)))
    samples = reading.samples_deg or ()
    if len(samples) < 2:
        raise CoreError("reading-value", "samples_deg needs at least two samples.", f"{pointer}/samples_deg")
    return float(np.tan(np.radians(oscillation_mean_deg(samples))))
