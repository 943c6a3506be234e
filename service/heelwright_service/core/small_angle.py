"""The small-angle (wall-sided) reduction: tangents against moments, one slope, an intercept for each instrument."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import Floating
from heelwright_service.core.errors import CoreError
from heelwright_service.core.input_errors import Errors
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.true_heel import freed_of_zeros

Array = NDArray[np.float64]

VERTICAL_ROUNDS = 4
SETTLED_SHARE = 1e-13
WATER_ROUNDS = 30
"""The shift of water that serves as weight grows with the heel it makes: a series in its share of the stiffness."""

INITIAL_MOMENT_SHARE = 0.01
"""A state with less than this share of the largest moment counts as without moment (as in `linefit`)."""

NO_HEEL_TANGENT = 1e-9
"""Readings of an instrument that differ by less show no heel: it is rounding."""


@dataclass(frozen=True)
class ReadingDesign:
    """How readings belong to states, each instrument's own mean taken out.

    Sums over r readings of k states are taken once here, so that a draw costs sums over states only.

    Parameters
    ----------
    state_index : ndarray of int
        State of each reading, shape (r,).
    centre : ndarray
        Takes each instrument's mean from its readings, shape (r, r).
    onto_states : ndarray
        Sums centred readings by state, shape (r, k).
    gram : ndarray
        Products of two states' columns, centred, shape (k, k).
    """

    state_index: NDArray[np.intp]
    centre: Array
    onto_states: Array
    gram: Array

    @classmethod
    def of(cls, test: PreparedTest) -> ReadingDesign:
        """Lay out the readings of a test that has some."""
        assert test.tangents is not None  # noqa: S101 - callers have readings
        assert test.movements is not None  # noqa: S101 - callers have readings
        state = test.tangents.state_index
        belongs = np.zeros((len(state), len(test.movements.numbers)))
        belongs[np.arange(len(state)), state] = 1.0
        centre = centring(test)
        return cls(state, centre, centre @ belongs, belongs.T @ centre @ belongs)

    def residual_projection(self, columns: list[Array]) -> Array:
        """Matrix that takes readings to residuals of a fit of the intercepts and the given columns.

        Parameters
        ----------
        columns : list of ndarray
            Derivatives of the states' tangents by the unknowns, each of shape (k,).

        Returns
        -------
        ndarray
            Projection, shape (r, r); its trace is the degrees of freedom.
        """
        fitted = self.centre @ np.column_stack(columns)[self.state_index]
        return np.asarray(self.centre - fitted @ np.linalg.pinv(fitted))


@dataclass(frozen=True)
class FittedLine:
    """The line of tangents on moments, which needs no hydrostatics; arrays of shape (p,) unless said otherwise.

    Parameters
    ----------
    slope : ndarray
        Slope of tangent on moment [1/(t·m)].
    list_tangent : ndarray
        Tangent of the list in the initial state.
    state_moments_t_m, state_effective_t_m : ndarray
        Heeling moments of each state as stated, and corrected for weights moved in height [t·m], shape (p, k).
    tangents : ndarray
        Tangents of heel read, inclinometers freed of their own zero, shape (p, r).
    design : ReadingDesign
        How readings belong to states.
    """

    slope: Array
    list_tangent: Array
    state_moments_t_m: Array
    state_effective_t_m: Array
    tangents: Array
    design: ReadingDesign


@dataclass(frozen=True)
class SmallAngle:
    """Result of the small-angle method; arrays of shape (p,) unless said otherwise.

    Parameters
    ----------
    slope : ndarray
        Slope of tangent on moment [1/(t·m)].
    gm_fluid_m, gm_t_m : ndarray
        Metacentric height as measured, with free surface, and the same freed of the coupling with trim [m].
    kg_m, tcg_m : ndarray
        Centre of gravity as inclined, liquids level and upright [m].
    list_tangent : ndarray
        Tangent of the list in the initial state.
    state_moments_t_m, state_effective_t_m : ndarray
        Heeling moments of each state as stated, and corrected for weights moved in height [t·m], shape (p, k).
    tangents : ndarray
        Tangents of heel read, inclinometers freed of their own zero, shape (p, r).
    design : ReadingDesign
        How readings belong to states.
    """

    slope: Array
    gm_fluid_m: Array
    gm_t_m: Array
    kg_m: Array
    tcg_m: Array
    list_tangent: Array
    state_moments_t_m: Array
    state_effective_t_m: Array
    tangents: Array
    design: ReadingDesign

    @property
    def moments_t_m(self) -> Array:
        """Heeling moment of each reading [t·m], shape (p, r)."""
        return np.asarray(self.state_moments_t_m[:, self.design.state_index])

    @property
    def effective_t_m(self) -> Array:
        """Heeling moment of each reading corrected for weights moved in height [t·m], shape (p, r)."""
        return np.asarray(self.state_effective_t_m[:, self.design.state_index])

    @property
    def residuals(self) -> Array:
        """Readings less line less intercept [tangent], shape (p, r)."""
        return np.asarray((self.tangents - self.slope[:, None] * self.effective_t_m) @ self.design.centre)


def centring(test: PreparedTest) -> Array:
    """Matrix that takes each instrument's own mean from its readings, unless its zero is the upright ship.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has readings.

    Returns
    -------
    ndarray
        Symmetric projection, shape (r, r).
    """
    assert test.tangents is not None  # noqa: S101 - callers have readings
    instrument = test.tangents.instrument_index
    matrix = np.eye(len(instrument))
    for i, has_mark in enumerate(has_zero_mark(test)):
        members = np.flatnonzero(instrument == i)
        if has_mark and len(members):
            matrix[np.ix_(members, members)] -= 1.0 / len(members)
    return matrix


def has_zero_mark(test: PreparedTest) -> NDArray[np.bool_]:
    """Which instruments have an arbitrary zero and so an intercept of their own.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has readings.

    Returns
    -------
    ndarray of bool
        Shape (i,). Where neither the waterline nor an instrument knows the upright ship, every zero is taken as it.
    """
    assert test.tangents is not None  # noqa: S101 - callers have readings
    arbitrary = test.tangents.from_zero_mark
    no_upright_known = arbitrary.all() and not test.fit.determined[2]
    return np.zeros(len(arbitrary), bool) if no_upright_known else arbitrary


def knows_upright(test: PreparedTest) -> bool:
    """Whether some instrument reads zero when the ship is upright.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.

    Returns
    -------
    bool
        False for a survey too.
    """
    return test.tangents is not None and not test.tangents.from_zero_mark.all()


def fit_line(test: PreparedTest, errors: Errors) -> FittedLine:
    """Fit the line of tangents on moments.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has movements and readings.
    errors : Errors
        Errors of the inputs, p rows.

    Returns
    -------
    FittedLine
        Slope, list and what they rest on, shape (p, ...).

    Raises
    ------
    CoreError
        ``no-heel`` when no instrument shows any; ``slope-not-positive`` when the ship heels against the weights.

    Notes
    -----
    t = a_p + b·M', with M' = M/(1 − n/(Δ·GM)) where weights change height by the vertical moment n, and t of an
    inclinometer with a zero of its own about that zero as an angle; both iterated, b = 1/(Δ·GM).
    """
    assert test.movements is not None  # noqa: S101 - callers have readings
    assert test.tangents is not None  # noqa: S101 - callers have readings
    masses = test.movements.masses_t * (1.0 + errors.weight_mass_relative)
    across = test.movements.moments_t_m(masses, errors.spot_m[..., 1], axis=1) + moved_water_error(test, errors, 1)
    upward = test.movements.moments_t_m(masses, 0.0, axis=2)
    own_zero = has_zero_mark(test)
    read = test.tangents.with_errors(errors.length_m) + errors.reading
    if not test.fit.determined[2] and not knows_upright(test):
        read = read + errors.list_tangent[:, None]
    design = ReadingDesign.of(test)
    effective, tangents = across, read
    slope = _slope(effective, tangents @ design.onto_states, design)
    for _ in range(_rounds(test, own_zero, upward)):
        heel = _list(test, tangents, effective, slope, errors)[:, None] + slope[:, None] * effective
        tangents = freed_of_zeros(test.tangents, own_zero, read, heel[:, design.state_index])
        water = _moved_water_shift(test, heel)
        effective = (across + water) / (1.0 - upward * slope[:, None])
        before, slope = slope, _slope(effective, tangents @ design.onto_states, design)
        if np.max(np.abs(slope - before)) <= SETTLED_SHARE * np.max(np.abs(slope)):
            break
    if not (slope > 0.0).all():
        _refuse_no_heel(test)
        raise _against_the_weights(test)
    listed = _list(test, tangents, effective, slope, errors)
    return FittedLine(slope, listed, across, effective, tangents, design)


def _rounds(test: PreparedTest, own_zero: NDArray[np.bool_], upward: Array) -> int:
    """How often the line is drawn again at the most; not at all where nothing depends on it."""
    if test.ballast is not None:
        return WATER_ROUNDS
    assert test.tangents is not None  # noqa: S101 - callers have readings
    turned = own_zero & np.isnan(test.tangents.lengths_m)
    return VERTICAL_ROUNDS if np.any(upward) or turned.any() else 0


def fit_small_angle(
    test: PreparedTest,
    errors: Errors,
    line: FittedLine,
    floating: Floating,
    displacement_t: Array,
    free_surface_t_m: Array,
) -> SmallAngle:
    """Reduce the readings by the wall-sided method.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has movements and readings.
    errors : Errors
        Errors of the inputs, p rows.
    line : FittedLine
        The line of tangents on moments, shape (p, ...).
    floating : Floating
        Initial floating position, shape (p,).
    displacement_t : ndarray
        Displacement [t], shape (p,).
    free_surface_t_m : ndarray
        Sum of ρ·i_T of the slack tanks [t·m], shape (p,).

    Returns
    -------
    SmallAngle
        Slope, GM and centre, shape (p,).

    Notes
    -----
    GM = 1/(b·Δ), KG = KM_T − GM − FSC. For an unsymmetric waterplane GM_T = GM + (I_xy/V)²/GM_L.
    """
    gm = 1.0 / (line.slope * displacement_t)
    gm_t = gm + floating.coupling_m2 / np.maximum(floating.km_l_m - (floating.km_t_m - gm), 1e-6)
    correction = free_surface_t_m / displacement_t
    kg = floating.km_t_m + errors.km_m - gm_t - correction + errors.hog_kg_m
    surfaces = correction + test.moved_water_surface_t_m / displacement_t
    tcg = floating.tcb_m - line.list_tangent * (kg + surfaces - floating.vcb_m)
    return SmallAngle(
        line.slope,
        gm,
        gm_t,
        kg,
        tcg,
        line.list_tangent,
        line.state_moments_t_m,
        line.state_effective_t_m,
        line.tangents,
        line.design,
    )


def _against_the_weights(test: PreparedTest) -> CoreError:
    assert test.tangents is not None  # noqa: S101 - callers have readings
    names = [test.record.instruments[i].id for i in np.unique(test.tangents.instrument_index)]
    shown = f"{', '.join(names[:-1])} and {names[-1]} together show" if len(names) > 1 else f"{names[0]} shows"
    return CoreError(
        "slope-not-positive",
        f"{shown} the ship heeling to the side opposite to the weights, so no GM can be had; check the signs: y is "
        "positive to starboard and a reading is positive for heel to starboard.",
        "/readings",
    )


def _refuse_no_heel(test: PreparedTest) -> None:
    """Every instrument shows the same in all its states: nothing was read, or nothing moved."""
    read = test.tangents
    assert read is not None  # noqa: S101 - callers have readings
    for i in np.unique(read.instrument_index):
        own = read.tangents[read.instrument_index == i]
        if float(np.ptp(own)) > NO_HEEL_TANGENT:
            return
    zero = "is zero" if not np.any(read.tangents) else "is the same in every state"
    raise CoreError(
        "no-heel",
        f"Every reading of every instrument {zero}, so the weights' moves heel her nowhere and no GM can be had; "
        "enter what was read, and look for a wire that touches or readings never filled in.",
        "/readings",
    )


def moved_water_error(test: PreparedTest, errors: Errors, axis: int) -> Array:
    """What the true moments of water moved between tanks exceed the stated ones by.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has movements.
    errors : Errors
        Errors of the inputs, p rows.
    axis : int
        0, 1 or 2 for x, y or z.

    Returns
    -------
    ndarray
        Moments [t·m], shape (p, k).
    """
    assert test.movements is not None  # noqa: S101 - callers have readings
    return np.asarray(errors.moved_water_relative[:, None] * test.movements.water_t_m[axis])


def _moved_water_shift(test: PreparedTest, heel: Array) -> Array:
    """Moments by which water that serves as weight moves with the heel, as changes from the initial state, (p, k)."""
    if test.ballast is None:
        return np.zeros_like(heel)
    shift, _ = test.ballast.shifts_t_m(heel)
    return np.asarray(shift - shift[:, :1])


def _slope(moments: Array, sums: Array, design: ReadingDesign) -> Array:
    squares = np.einsum("pk,pk->p", moments @ design.gram, moments)
    return np.asarray(np.einsum("pk,pk->p", moments, sums) / squares)


def _list(test: PreparedTest, tangents: Array, moments: Array, slope: Array, errors: Errors) -> Array:
    """Tangent of the initial list: from the waterline, or from the instruments that know the upright ship.

    Of their readings those without moment count, which no curve of the line touches; where there are none, all do.
    """
    if not test.fits_list_from_readings:
        return test.fit.planes(test.points.z_m + errors.height_m).slope_y
    assert test.tangents is not None  # noqa: S101 - callers have readings
    fixed = ~has_zero_mark(test)[test.tangents.instrument_index]
    heeled = np.abs(moments).max(axis=0) > INITIAL_MOMENT_SHARE * np.abs(moments).max()
    still = fixed & ~heeled[test.tangents.state_index]
    chosen = still if still.any() else fixed
    initial = tangents - slope[:, None] * moments[:, test.tangents.state_index]
    return np.asarray(initial[:, chosen].mean(axis=1))
