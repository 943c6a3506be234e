"""The plot while the test runs: GM so far, residuals, zero returns, what to read again, and whether one may stop."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.linefit import LineFit, common_slope, lines_by_group, side_slopes, zero_drift
from heelwright_service.core.readings import MILLIMETRES, ReadTangents, read_tangents
from heelwright_service.core.record import IncliningWeight, Instrument, Reading, State
from heelwright_service.core.rules import conduct_rule

Array = NDArray[np.float64]

NEXT_ACTIONS = (
    "See that every line is slack and no fender touches.",
    "Sound the depth under the keel.",
    "Sound the last slack pair again.",
    "See that truck, gang and hook stand at their reading positions.",
)
"""What to look at when a reading lies off the line, quickest first (common practice)."""

LEAST_SIDE_MOMENTS = 2


@dataclass(frozen=True)
class RunningPoint:
    """One reading on the plot: moment [t·m], tangent from the instrument's own zero, and its residual there."""

    state: int
    instrument: str
    moment_t_m: float
    tangent: float
    residual: float | None
    residual_percent: float | None


@dataclass(frozen=True)
class ReadAgain:
    """A state to read again at all instruments, and why."""

    state: int
    instrument: str | None
    why: str


@dataclass(frozen=True)
class ZeroReturn:
    """How far an instrument came back from its first zero, on its batten where it has one."""

    instrument: str
    away_mm: float | None
    away_deg: float


@dataclass(frozen=True)
class Running:
    """Where the test stands after its last state.

    Parameters
    ----------
    states_read : tuple of int
        States with a reading.
    points : tuple of RunningPoint
        Every reading that counts.
    moment_per_tangent_t_m : float or None
        Displacement times GM [t·m]; None before a line can be drawn.
    gm_fluid_m : float or None
        GM so far, free surface included [m]; needs a displacement.
    gm_standard_error_m : float or None
        From the scatter of the readings alone [m].
    gm_by_instrument_m : dict of str to float
        Each instrument by itself [m].
    largest_residual_percent, sides_percent, instruments_percent, zero_return_mm : float or None
        The parts of the straightness rule.
    zero_returns : tuple of ZeroReturn
        By instrument.
    straight : bool or None
        Whether every part that can be judged is kept; None before a line can be drawn.
    read_again : tuple of ReadAgain
        States to repeat.
    may_stop : bool
        Whether the test may end here.
    may_stop_text : str
        Why, or what is still needed.
    next_actions : tuple of str
        What to look at first; empty while the line is straight.
    """

    states_read: tuple[int, ...]
    points: tuple[RunningPoint, ...]
    moment_per_tangent_t_m: float | None
    gm_fluid_m: float | None
    gm_standard_error_m: float | None
    gm_by_instrument_m: dict[str, float]
    largest_residual_percent: float | None
    sides_percent: float | None
    instruments_percent: float | None
    zero_return_mm: float | None
    zero_returns: tuple[ZeroReturn, ...]
    straight: bool | None
    read_again: tuple[ReadAgain, ...]
    may_stop: bool
    may_stop_text: str
    next_actions: tuple[str, ...]


@dataclass(frozen=True)
class _Line:
    """The readings with their moments, and the line through them where it can be drawn."""

    instruments: Sequence[Instrument]
    numbers: list[int]
    read: ReadTangents
    moments: Array
    fixed: list[int]
    fit: LineFit | None

    @property
    def full_scale(self) -> float:
        return 0.0 if self.fit is None else abs(self.fit.slope) * float(np.abs(self.moments).max())

    def state_of(self, i: int) -> int:
        return self.numbers[int(self.read.state_index[i])]


def run_so_far(
    weights: Sequence[IncliningWeight],
    states: Sequence[State],
    instruments: Sequence[Instrument],
    readings: Sequence[Reading],
    displacement_t: float | None = None,
    water_t_m: Mapping[int, float] | None = None,
) -> Running:
    """Work out where a running test stands.

    Parameters
    ----------
    weights : sequence of IncliningWeight
        The inclining weights.
    states : sequence of State
        The states so far.
    instruments : sequence of Instrument
        The instruments.
    readings : sequence of Reading
        All readings so far; withdrawn ones do not count.
    displacement_t : float, optional
        Displacement by draughts, or as planned [t].
    water_t_m : mapping of int to float, optional
        Moment of water that serves as weight, from the initial state, by number of the state [t·m].

    Returns
    -------
    Running
        The state of the test.

    Raises
    ------
    CoreError
        As `read_tangents`, naming the reading; ``weight-placing`` when a state does not place every weight.

    Notes
    -----
    GM = 1/(b·Δ) with b the common slope of tangent on moment. Stopping: eight movements, or six or seven where the
    plot is straight (2008 IS Code part B 8.4.1.2).
    """
    ordered = sorted(states, key=lambda state: state.number)
    if not any(reading.withdrawn_reason is None for reading in readings):
        return _nothing_yet()
    line = _line(weights, ordered, instruments, readings, water_t_m or {})
    parts = _parts(line)
    again = _read_again(line)
    straight = None if line.fit is None else _is_straight(parts) and not again
    may_stop, why = _may_stop(line, straight)
    stiffness = None if line.fit is None else 1.0 / line.fit.slope
    gm = None if stiffness is None or not displacement_t else stiffness / displacement_t
    repeats = tuple(f"Read state {each.state} again." for each in again[:1])
    error = None if gm is None or line.fit is None else abs(gm * line.fit.slope_standard_error / line.fit.slope)
    return Running(
        states_read=tuple(sorted({line.state_of(i) for i in range(len(line.moments))})),
        points=_points(line),
        moment_per_tangent_t_m=stiffness,
        gm_fluid_m=gm,
        gm_standard_error_m=error,
        gm_by_instrument_m=_by_instrument(line, displacement_t),
        largest_residual_percent=parts["residual_percent_of_full_scale"],
        sides_percent=parts["sides_percent"],
        instruments_percent=parts["instrument_percent"],
        zero_return_mm=parts["zero_return_mm"],
        zero_returns=_zero_returns(line),
        straight=straight,
        read_again=again,
        may_stop=may_stop,
        may_stop_text=why,
        next_actions=(*NEXT_ACTIONS, *repeats) if straight is False else (),
    )


def _nothing_yet() -> Running:
    none = (None,) * 4
    return Running((), (), None, None, None, {}, *none, (), None, (), False, "Nothing has been read yet.", ())


def _line(
    weights: Sequence[IncliningWeight],
    states: Sequence[State],
    instruments: Sequence[Instrument],
    readings: Sequence[Reading],
    water_t_m: Mapping[int, float],
) -> _Line:
    numbers = [state.number for state in states]
    read = read_tangents(instruments, readings, numbers)
    by_state = _moments(weights, states) + np.array([water_t_m.get(number, 0.0) for number in numbers])
    moments = by_state[read.state_index]
    fixed = [] if read.from_zero_mark.all() else np.flatnonzero(~read.from_zero_mark).tolist()
    try:
        fit = common_slope(moments, read.tangents, read.instrument_index, fixed)
    except CoreError:
        fit = None
    return _Line(instruments, numbers, read, moments, fixed, None if fit is not None and fit.slope <= 0.0 else fit)


def _moments(weights: Sequence[IncliningWeight], states: Sequence[State]) -> Array:
    """Transverse moment of each state from the first [t·m]."""
    totals = []
    for i, state in enumerate(states):
        absent = [weight.id for weight in weights if weight.id not in state.positions]
        if absent:
            message = f"State {state.number} does not place weight '{absent[0]}'; every state places every weight."
            raise CoreError("weight-placing", message, f"/states/{i}/positions")
        totals.append(sum(weight.mass_t * state.positions[weight.id][1] for weight in weights))
    found = np.array(totals, dtype=float)
    return np.asarray(found - found[0])


def _points(line: _Line) -> tuple[RunningPoint, ...]:
    rows = []
    for i, moment in enumerate(line.moments):
        residual = None if line.fit is None else float(line.fit.residuals[i])
        percent = None if residual is None or not line.full_scale else 100.0 * residual / line.full_scale
        name, tangent = line.instruments[int(line.read.instrument_index[i])].id, float(line.read.tangents[i])
        rows.append(RunningPoint(line.state_of(i), name, float(moment), tangent, residual, percent))
    return tuple(rows)


def _by_instrument(line: _Line, displacement_t: float | None) -> dict[str, float]:
    if line.fit is None or not displacement_t:
        return {}
    try:
        own = lines_by_group(line.moments, line.read.tangents, line.read.instrument_index, line.fixed)
    except CoreError:
        return {}
    return {line.instruments[i].id: 1.0 / (fit.slope * displacement_t) for i, fit in own.items() if fit.slope > 0.0}


def _parts(line: _Line) -> dict[str, float | None]:
    """What the straightness rule limits, by the names of its figures; None where it cannot be judged yet."""
    names = ("residual_percent_of_full_scale", "sides_percent", "instrument_percent", "zero_return_mm")
    found: dict[str, float | None] = dict.fromkeys(names)
    if line.fit is None or not line.full_scale:
        return found
    found[names[0]] = 100.0 * float(np.abs(line.fit.residuals).max()) / line.full_scale
    sides = side_slopes(line.moments, line.read.tangents, line.read.instrument_index, line.read.state_index, line.fixed)
    if sides.difference_relative is not None:
        found[names[1]] = 100.0 * abs(sides.difference_relative)
    own = _by_instrument(line, 1.0)
    if len(own) > 1:
        found[names[2]] = max(100.0 * abs(each * line.fit.slope - 1.0) for each in own.values())
    returns = [abs(each.away_mm) for each in _zero_returns(line) if each.away_mm is not None]
    found[names[3]] = max(returns, default=None)
    return found


def _is_straight(parts: dict[str, float | None]) -> bool:
    rule = conduct_rule("C-07")
    return all(value is None or value <= rule[name] for name, value in parts.items())


def _zero_returns(line: _Line) -> tuple[ZeroReturn, ...]:
    if not np.abs(line.moments).max():
        return ()
    found = zero_drift(line.moments, line.read.tangents, line.read.instrument_index, line.read.state_index)
    rows = []
    for each in found:
        length = line.instruments[each.group].length_m
        away = None if length is None else each.largest_departure * length * MILLIMETRES
        degrees = float(np.degrees(np.arctan(each.largest_departure)))
        rows.append(ZeroReturn(line.instruments[each.group].id, away, degrees))
    return tuple(rows)


def _read_again(line: _Line) -> tuple[ReadAgain, ...]:
    """Take the reading furthest off the line away until the rest lie on it; those taken away are to be repeated."""
    limit = conduct_rule("C-07")["residual_percent_of_full_scale"]
    kept = np.ones(len(line.moments), dtype=bool)
    again: list[ReadAgain] = []
    fit = line.fit
    while fit is not None and line.full_scale:
        worst = int(np.argmax(np.abs(fit.residuals)))
        percent = 100.0 * float(fit.residuals[worst]) / (abs(fit.slope) * float(np.abs(line.moments).max()))
        if abs(percent) <= limit:
            break
        i = int(np.flatnonzero(kept)[worst])
        kept[i] = False
        instrument = line.instruments[int(line.read.instrument_index[i])].id
        side = "starboard" if percent > 0 else "port"
        why = f"{instrument} reads {abs(percent):.1f} % of full scale too far to {side}; read all instruments again."
        again.append(ReadAgain(line.state_of(i), instrument, why))
        fit = _refitted(line, kept)
    return tuple(again[:1]) if fit is None else tuple(again)


def _refitted(line: _Line, kept: NDArray[np.bool_]) -> LineFit | None:
    try:
        return common_slope(line.moments[kept], line.read.tangents[kept], line.read.instrument_index[kept], line.fixed)
    except CoreError:
        return None


def _may_stop(line: _Line, straight: bool | None) -> tuple[bool, str]:
    rule = conduct_rule("C-02")
    states = sorted(set(line.read.state_index.tolist()))
    moved = [float(line.moments[line.read.state_index == k][0]) for k in states]
    movements = len(states) - 1
    scale = max(map(abs, moved), default=0.0)
    sides = [len({round(m / scale, 3) for m in moved if sign * m > 0.01 * scale}) if scale else 0 for sign in (1, -1)]
    if straight is not True:
        return False, "The plot is not straight: read again or explain." if straight is False else "Too few states yet."
    if min(sides) < LEAST_SIDE_MOMENTS:
        return False, "Both sides need two different moments."
    if movements >= int(conduct_rule("C-01")["movements"]):
        return True, f"All {movements} movements are read and the plot is straight."
    if movements >= int(rule["straight_movements"]):
        return True, f"{movements} movements are read and the plot is straight ({rule.cited_source})."
    return False, f"{movements} of at least {int(rule['straight_movements'])} movements are read."
