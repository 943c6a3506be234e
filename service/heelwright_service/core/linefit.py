"""Straight lines through inclining readings: one common slope, one intercept for each instrument.

The readings carry the error and the moments are nearly exact, so the tangent is regressed on the moment. Every
instrument has its own zero mark, so every instrument has its own intercept; a line is forced through the origin
only for an instrument that is declared to read zero when the ship is upright.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from .errors import CoreError

Array = NDArray[np.float64]
Groups = NDArray[np.int64]

ZERO_RELATIVE_TOLERANCE = 0.01
"""A state counts as a return to the initial one within this part of the largest moment."""

_ROUNDING = 1e-12


@dataclass(frozen=True)
class LineFit:
    """A fitted line `y = intercept(group) + slope·x`; arrays of readings keep the order of the input.

    `intercepts` follow `groups` (a group with a fixed zero has 0); `covariance` is of those intercepts, then the
    slope. `studentised_residuals` are externally studentised (each judged by the scatter of all the others); they
    are None with fewer than two degrees of freedom. `r_squared` is about the mean of all readings.
    """

    slope: float
    slope_standard_error: float
    groups: tuple[int, ...]
    intercepts: Array
    residuals: Array
    studentised_residuals: Array | None
    residual_standard_deviation: float
    degrees_of_freedom: int
    r_squared: float
    covariance: Array
    leverage: Array


@dataclass(frozen=True)
class Curvature:
    """The quadratic term of `y = intercept(group) + b·x + coefficient·x²` and whether it stands out of the scatter.

    `departure_relative` is the quadratic part at the largest moment over the linear part there.
    """

    coefficient: float
    standard_error: float
    t_statistic: float
    p_value: float
    degrees_of_freedom: int
    departure_relative: float


@dataclass(frozen=True)
class SideSlopes:
    """The slopes of the two sides of a test, None for a side that has no slope of its own.

    `difference_relative` is the excess of the positive side's 1/slope (and so of its GM) over the negative side's,
    as a part of their mean.
    """

    positive: float | None
    negative: float | None
    difference_relative: float | None


@dataclass(frozen=True)
class ZeroDrift:
    """How one instrument's reading came back in the states without moment, in the order of the states."""

    group: int
    zeros: tuple[float, ...]
    last_minus_first: float
    largest_departure: float


def common_slope(x: ArrayLike, y: ArrayLike, group: ArrayLike, zero_groups: Collection[int] = ()) -> LineFit:
    """Fit one slope to all readings, with an intercept for each instrument.

    Parameters
    ----------
    x : array_like, shape (m,)
        Heeling moments [t·m], or any variable taken as exact.
    y : array_like, shape (m,)
        Tangents of the heel read [-].
    group : array_like of int, shape (m,)
        The instrument of each reading.
    zero_groups : collection of int
        Instruments that read zero when the ship is upright: their intercept is 0, not fitted.

    Returns
    -------
    LineFit
        Slope [1/(t·m)], its standard error, intercepts, residuals and the covariance.

    Raises
    ------
    CoreError
        ``too-few-moments`` with fewer than three distinct moments, ``too-few-readings`` without a degree of
        freedom, ``slope-undetermined`` when no instrument saw two moments, ``readings-not-finite``.

    Notes
    -----
    Ordinary least squares; covariance `s²·(XᵀX)⁻¹` with `s²` the residual sum of squares over the degrees of
    freedom. JCGM 100:2008, annex H.3 has the one-intercept case.

    Examples
    --------
    >>> fit = common_slope([0.0, 36.0, -36.0, 0.0], [0.001, 0.016, -0.014, 0.001], [0, 0, 0, 0])
    >>> round(1.0 / (fit.slope * 2500.0), 4)
    0.96
    """
    xs, ys, gs = _checked(x, y, group)
    distinct = int(np.count_nonzero(np.diff(np.sort(xs)) > _ROUNDING * np.ptp(xs))) + 1 if np.ptp(xs) > 0 else 1
    if distinct < 3:
        raise CoreError(
            "too-few-moments",
            f"Distinct inclining moments among the readings: {distinct}; a line needs at least three, "
            "so add states with other weight positions.",
            "/states",
        )
    return _fit(xs, ys, gs, zero_groups)


def lines_by_group(
    x: ArrayLike, y: ArrayLike, group: ArrayLike, zero_groups: Collection[int] = ()
) -> dict[int, LineFit]:
    """Fit a line of its own to each instrument.

    Parameters
    ----------
    x, y, group, zero_groups
        As in `common_slope`.

    Returns
    -------
    dict of int to LineFit
        The lines by instrument.

    Raises
    ------
    CoreError
        As in `common_slope`, for the instrument that has too few readings.
    """
    xs, ys, gs = _checked(x, y, group)
    return {
        int(g): common_slope(xs[gs == g], ys[gs == g], gs[gs == g], [z for z in zero_groups if z == g])
        for g in np.unique(gs)
    }


def slope_only(x: ArrayLike, y: ArrayLike, group: ArrayLike, zero_groups: Collection[int] = ()) -> Array:
    """Return the common slope of many sets of readings at once, without residuals or guards.

    Parameters
    ----------
    x, y : array_like, shape (..., m)
        Moments [t·m] and tangents [-]; the leading axes are broadcast against each other.
    group : array_like of int, shape (m,)
        The instrument of each reading, the same in every set.
    zero_groups : collection of int
        Instruments whose intercept is 0.

    Returns
    -------
    ndarray, shape (...)
        Slopes [1/(t·m)], equal to `common_slope` of each set.

    Notes
    -----
    With the moments centred within each instrument, `b = Σ x̃·y / Σ x̃²` (the normal equations, the intercepts
    eliminated; derived here).
    """
    centred = _centred_within(np.asarray(x, dtype=float), np.asarray(group, dtype=np.int64), zero_groups)
    ys = np.asarray(y, dtype=float)
    slopes: Array = np.einsum("...i,...i->...", centred, ys) / np.einsum("...i,...i->...", centred, centred)
    return slopes


def curvature(x: ArrayLike, y: ArrayLike, group: ArrayLike, zero_groups: Collection[int] = ()) -> Curvature:
    """Fit a quadratic term beside the common slope and test it against the scatter.

    Parameters
    ----------
    x, y, group, zero_groups
        As in `common_slope`.

    Returns
    -------
    Curvature
        The coefficient [1/(t·m)²] with its standard error, Student's t and the two-sided probability of one as large.

    Raises
    ------
    CoreError
        ``too-few-moments`` with fewer than three distinct moments, ``too-few-readings`` without a degree of freedom.

    Notes
    -----
    A steady one-sided moment, a line that holds or a hull that is not wall-sided bends the plot. Student's t
    test of a regression coefficient is in any textbook of regression.
    """
    xs, ys, gs = _checked(x, y, group)
    straight = common_slope(xs, ys, gs, zero_groups)
    scale = float(np.max(np.abs(xs)))
    design, _ = _design(xs / scale, gs, zero_groups)
    wide = np.column_stack([design, (xs / scale) ** 2])
    _refuse_without_freedom(*wide.shape)
    inverse = np.linalg.inv(wide.T @ wide)
    solution = inverse @ (wide.T @ ys)
    freedom = wide.shape[0] - wide.shape[1]
    scatter = float(np.sqrt(np.sum((ys - wide @ solution) ** 2) / freedom))
    floor = _ROUNDING * float(np.max(np.abs(ys)))
    error = max(scatter, floor) * float(np.sqrt(inverse[-1, -1]))
    term = float(solution[-1])
    t_value = term / error if abs(term) > floor else 0.0
    return Curvature(
        coefficient=term / scale**2,
        standard_error=error / scale**2,
        t_statistic=t_value,
        p_value=float(2.0 * special.stdtr(freedom, -abs(t_value))),
        degrees_of_freedom=freedom,
        departure_relative=term / (straight.slope * scale) if straight.slope else 0.0,
    )


def side_slopes(
    x: ArrayLike, y: ArrayLike, group: ArrayLike, state: ArrayLike, zero_groups: Collection[int] = ()
) -> SideSlopes:
    """Compare the line of the positive moments with the line of the negative ones.

    Parameters
    ----------
    x : array_like, shape (m,)
        Moments [t·m] from the initial state, positive to starboard.
    y, group, zero_groups
        As in `common_slope`.
    state : array_like of int, shape (m,)
        The number of the state of each reading; states follow each other in the order of their numbers.

    Returns
    -------
    SideSlopes
        Slope of each side [1/(t·m)] and their relative difference.

    Notes
    -----
    A side is made of the consecutive states from the zero before its run to the zero after it, zeros included
    (office default, common practice): a moment that came and stayed shows as a difference between the sides.

    Examples
    --------
    >>> moments = [0.0, 36.0, 72.0, 36.0, 0.0, -36.0, -72.0, -36.0, 0.0]
    >>> tangents = [0.0, 0.015, 0.030, 0.015, 0.0, -0.0165, -0.033, -0.0165, 0.0]
    >>> round(side_slopes(moments, tangents, [0] * 9, range(9)).difference_relative, 4)
    0.0952
    """
    xs, ys, gs = _checked(x, y, group)
    numbers = np.asarray(state, dtype=np.int64)
    slopes = [_side_slope(xs, ys, gs, np.isin(numbers, members), zero_groups) for members in _sides(xs, numbers)]
    positive, negative = slopes
    difference = None
    if positive and negative:
        difference = (1.0 / positive - 1.0 / negative) / (0.5 * (1.0 / positive + 1.0 / negative))
    return SideSlopes(positive, negative, difference)


def zero_drift(x: ArrayLike, y: ArrayLike, group: ArrayLike, state: ArrayLike) -> tuple[ZeroDrift, ...]:
    """Say how far each instrument came back to its first reading in the states without moment.

    Parameters
    ----------
    x : array_like, shape (m,)
        Moments [t·m] from the initial state.
    y : array_like, shape (m,)
        Tangents [-]; multiplied by a pendulum's length the answer is a distance on its batten.
    group, state : array_like of int, shape (m,)
        Instrument and number of the state of each reading.

    Returns
    -------
    tuple of ZeroDrift
        One for each instrument read in two or more such states.
    """
    xs, ys, gs = _checked(x, y, group)
    order = np.argsort(np.asarray(state), kind="stable")
    at_zero = order[_is_zero(xs)[order]]
    drifts = []
    for g in np.unique(gs):
        zeros = ys[at_zero[gs[at_zero] == g]]
        if zeros.size > 1:
            away = zeros - zeros[0]
            largest = float(away[np.argmax(np.abs(away))])
            drifts.append(ZeroDrift(int(g), tuple(zeros.tolist()), float(away[-1]), largest))
    return tuple(drifts)


def _checked(x: ArrayLike, y: ArrayLike, group: ArrayLike) -> tuple[Array, Array, Groups]:
    xs, ys, gs = np.asarray(x, dtype=float), np.asarray(y, dtype=float), np.asarray(group, dtype=np.int64)
    if xs.ndim != 1 or xs.shape != ys.shape or xs.shape != gs.shape:
        raise CoreError(
            "readings-unequal-length",
            f"Moments, tangents and instruments must be equally long lists; found {xs.shape}, {ys.shape}, {gs.shape}.",
            "/readings",
        )
    if not (np.all(np.isfinite(xs)) and np.all(np.isfinite(ys))):
        raise CoreError("readings-not-finite", "Every moment and every reading must be a finite number.", "/readings")
    return xs, ys, gs


def _refuse_without_freedom(readings: int, unknowns: int) -> None:
    if readings <= unknowns:
        raise CoreError(
            "too-few-readings",
            f"Readings: {readings}, for {unknowns} unknowns (a slope and an intercept for each instrument); no "
            f"degree of freedom is left for the scatter, and at least {unknowns + 1} are needed.",
            "/readings",
        )


def _design(xs: Array, gs: Groups, zero_groups: Collection[int]) -> tuple[Array, list[int]]:
    """One column of ones for each group with a free intercept, then the moments."""
    free = [int(g) for g in np.unique(gs) if int(g) not in zero_groups]
    columns = [(gs == g).astype(float) for g in free]
    return np.column_stack([*columns, xs]), free


def _fit(xs: Array, ys: Array, gs: Groups, zero_groups: Collection[int]) -> LineFit:
    scale = float(np.max(np.abs(xs))) or 1.0
    design, free = _design(xs / scale, gs, zero_groups)
    _refuse_without_freedom(*design.shape)
    centred = _centred_within(xs / scale, gs, zero_groups)
    if float(centred @ centred) < _ROUNDING:
        raise CoreError(
            "slope-undetermined",
            "Every instrument was read at one moment only, so the readings say nothing about the slope.",
            "/readings",
        )
    inverse = np.linalg.inv(design.T @ design)
    solution = inverse @ (design.T @ ys)
    residuals = ys - design @ solution
    leverage = np.einsum("ij,jk,ik->i", design, inverse, design)
    freedom = design.shape[0] - design.shape[1]
    variance = float(residuals @ residuals) / freedom
    total = float(np.sum((ys - ys.mean()) ** 2))
    groups = tuple(int(g) for g in np.unique(gs))
    intercepts, covariance = _spread(solution, variance * inverse, groups, free, scale)
    return LineFit(
        slope=float(solution[-1]) / scale,
        slope_standard_error=float(np.sqrt(covariance[-1, -1])),
        groups=groups,
        intercepts=intercepts,
        residuals=residuals,
        studentised_residuals=_studentised(residuals, leverage, freedom, float(np.max(np.abs(ys)))),
        residual_standard_deviation=float(np.sqrt(variance)),
        degrees_of_freedom=freedom,
        r_squared=1.0 - float(residuals @ residuals) / total if total > 0.0 else 0.0,
        covariance=covariance,
        leverage=leverage,
    )


def _spread(
    solution: Array, covariance: Array, groups: tuple[int, ...], free: list[int], scale: float
) -> tuple[Array, Array]:
    """Put the fitted unknowns back among all groups; a fixed intercept is 0 with variance 0."""
    places = [*(groups.index(g) for g in free), len(groups)]
    full = np.zeros((len(groups) + 1, len(groups) + 1))
    full[np.ix_(places, places)] = covariance
    full[-1, :] /= scale
    full[:, -1] /= scale
    intercepts = np.zeros(len(groups))
    intercepts[places[:-1]] = solution[:-1]
    return intercepts, full


def _studentised(residuals: Array, leverage: Array, freedom: int, largest: float) -> Array | None:
    """Residuals over the scatter of the others: `e·√((ν−1)/(S·(1−h)−e²))`, 0 where rounding is all there is."""
    if freedom < 2:
        return None
    floor = _ROUNDING * largest
    spare = np.maximum(1.0 - leverage, _ROUNDING)
    others = np.maximum((residuals @ residuals - residuals**2 / spare) / (freedom - 1), 0.0)
    scatter = np.maximum(np.sqrt(others), max(floor, np.finfo(float).tiny))
    values = residuals / (scatter * np.sqrt(spare))
    return np.where(np.abs(residuals) > floor, values, 0.0)


def _centred_within(xs: Array, gs: Groups, zero_groups: Collection[int]) -> Array:
    """Moments less their mean within each instrument that has a free intercept."""
    groups, index = np.unique(gs, return_inverse=True)
    member = (index[:, np.newaxis] == np.arange(groups.size)).astype(float)
    means = xs @ (member / member.sum(axis=0))
    means = np.where(np.isin(groups, list(zero_groups)), 0.0, means)
    centred: Array = xs - means[..., index]
    return centred


def _is_zero(xs: Array) -> NDArray[np.bool_]:
    zero: NDArray[np.bool_] = np.abs(xs) <= ZERO_RELATIVE_TOLERANCE * np.max(np.abs(xs))
    return zero


def _sides(xs: Array, numbers: Groups) -> tuple[list[int], list[int]]:
    """The numbers of the states on the positive and on the negative side."""
    states = np.unique(numbers)
    signs = [int(np.sign(xs[numbers == s].mean())) * (not _is_zero(xs)[numbers == s].all()) for s in states]
    sides: dict[int, list[int]] = {1: [], -1: []}
    for side, members in sides.items():
        for i, sign in enumerate(signs):
            neighbours = signs[max(i - 1, 0) : i + 2]
            if sign == side or (sign == 0 and side in neighbours):
                members.append(int(states[i]))
    return sides[1], sides[-1]


def _side_slope(
    xs: Array, ys: Array, gs: Groups, chosen: NDArray[np.bool_], zero_groups: Collection[int]
) -> float | None:
    if not chosen.any() or np.ptp(xs[chosen]) <= ZERO_RELATIVE_TOLERANCE * np.max(np.abs(xs)):
        return None
    centred = _centred_within(xs[chosen], gs[chosen], zero_groups)
    if float(centred @ centred) <= _ROUNDING * float(np.max(np.abs(xs))) ** 2:
        return None
    slope = float(slope_only(xs[chosen], ys[chosen], gs[chosen], zero_groups))
    return slope or None
