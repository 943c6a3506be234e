"""The heeled-equilibrium reduction: the hull itself in place of the wall-sided assumption.

In every state the ship is in transverse equilibrium,
y_B + t·z_B − (M + F_y)/Δ − t·(n + F_z)/Δ = TCG + KG·t, t the tangent of the heel, F the liquids' shift, n the weights'
vertical moment. TCG comes from the initial waterline; KG and one intercept for each instrument from the readings, by
least squares on the tangents.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import Floating, HydrostaticSource
from heelwright_service.core.errors import CoreError
from heelwright_service.core.input_errors import Errors
from heelwright_service.core.liquids import I_T_ROW, shift_moments
from heelwright_service.core.planes import Planes
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.small_angle import ReadingDesign, SmallAngle, moved_water_error

Array = NDArray[np.float64]

MOST_ROUNDS = 25
SETTLED = 1e-10
"""Rounds end when no state's tangent moves by more than this."""


@dataclass(frozen=True)
class HeeledFit:
    """Result of the heeled-equilibrium method.

    Parameters
    ----------
    kg_m, tcg_m : ndarray
        Centre of gravity as inclined, liquids level and upright [m], shape (p,).
    gm_fluid_m : ndarray
        KM_T at the initial draught and trim less KG less the free-surface correction [m], shape (p,).
    state_tangents : ndarray
        Tangents of heel that the fit gives the states, shape (p, k).
    state_sensitivities : list of ndarray
        Derivatives of those tangents by KG [1/m] and, where the readings tell it, by TCG [1/m], each of shape (p, k).
    read : ndarray
        Tangents read, shape (p, r).
    design : ReadingDesign
        How readings belong to states.
    """

    kg_m: Array
    tcg_m: Array
    gm_fluid_m: Array
    state_tangents: Array
    state_sensitivities: list[Array]
    read: Array
    design: ReadingDesign

    @property
    def predicted(self) -> Array:
        """Tangents that the fit gives the readings, without intercepts, shape (p, r)."""
        return np.asarray(self.state_tangents[:, self.design.state_index])

    @property
    def residuals(self) -> Array:
        """Readings less prediction less intercept, shape (p, r)."""
        return np.asarray((self.read - self.predicted) @ self.design.centre)


@dataclass(frozen=True)
class _Balance:
    """The equilibrium of the states near given tangents: value and derivative of its left-hand side, shape (p, k)."""

    tangents: Array
    value: Array
    derivative: Array


def fit_heeled(
    test: PreparedTest,
    errors: Errors,
    source: HydrostaticSource,
    planes: Planes,
    floating: Floating,
    displacement_t: Array,
    contents: Array,
    start: SmallAngle,
) -> HeeledFit:
    """Reduce the readings on the heeled hull.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has movements and readings.
    errors : Errors
        Errors of the inputs, p rows.
    source : HydrostaticSource
        A source with arms.
    planes : Planes
        Initial water surfaces, shape (p,).
    floating : Floating
        Initial floating position, shape (p,).
    displacement_t : ndarray
        Displacement [t], shape (p,).
    contents : ndarray
        Tank contents, shape (p, t, 6).
    start : SmallAngle
        The small-angle result, from which the search starts.

    Returns
    -------
    HeeledFit
        The fit, shape (p, ...).

    Raises
    ------
    CoreError
        ``no-settling`` when the rounds do not settle.

    Notes
    -----
    Gauss-Newton with the equilibrium linearised at the current tangents of every state; compare Karolius & Vassalos
    2018, 'Tearing down the wall - The inclining experiment', for the equilibrium without the metacentre.
    """
    assert test.movements is not None  # noqa: S101 - callers have readings
    assert test.tangents is not None  # noqa: S101 - callers have readings
    masses = test.movements.masses_t * (1.0 + errors.weight_mass_relative)
    across = test.movements.moments_t_m(masses, errors.spot_m[..., 1], axis=1) + moved_water_error(test, errors, 1)
    upward = test.movements.moments_t_m(masses, 0.0, axis=2)
    initial = start.list_tangent
    as_read = test.tangents.change_by_state(across.shape[1], float(initial[0]))
    tangents = initial[:, None] + np.where(np.isfinite(as_read), as_read, start.slope[:, None] * across)
    kg, tcg = start.kg_m - errors.km_m, start.tcg_m
    sums = start.tangents @ start.design.onto_states
    for first in (True, *[False] * (MOST_ROUNDS - 1)):
        balance = _balance(test, source, planes, floating, displacement_t, contents, across, upward, tangents)
        if first:
            kg = _height_at(balance, kg)
        kg, tcg, moved, sensitivities = _improved(test, balance, initial, sums, start.design, kg, tcg)
        change = float(np.max(np.abs(moved - tangents)))
        tangents = moved
        if change < SETTLED:
            break
    else:
        raise _no_settling()
    true_kg = kg + errors.km_m + errors.hog_kg_m
    free_surface = contents[..., I_T_ROW] @ [tank.sounding.density_t_per_m3 for tank in test.tanks]
    free_surface = free_surface + test.further_free_surface_t_m - test.moved_water_surface_t_m
    gm = floating.km_t_m - kg - free_surface / displacement_t
    return HeeledFit(true_kg, tcg, gm, tangents, sensitivities, start.tangents, start.design)


def _height_at(balance: _Balance, otherwise: Array) -> Array:
    """KG by which the states balance best at their tangents as read, where the search starts, shape (p,)."""
    heel = balance.tangents - balance.tangents[:, :1]
    squares = np.einsum("pk,pk->p", heel, heel)
    moved = np.einsum("pk,pk->p", heel, balance.value - balance.value[:, :1])
    return np.asarray(np.divide(moved, squares, out=otherwise.copy(), where=squares > 0.0))


def _balance(
    test: PreparedTest,
    source: HydrostaticSource,
    planes: Planes,
    floating: Floating,
    displacement: Array,
    contents: Array,
    across: Array,
    upward: Array,
    tangents: Array,
) -> _Balance:
    arms, derivatives = source.arms(floating, planes, tangents)
    shift_y, shift_z = _liquids_shift(test, contents, planes, tangents)
    shift_y = shift_y + test.further_free_surface_t_m * tangents
    shift_z = shift_z + 0.5 * test.further_free_surface_t_m * tangents**2
    mass = displacement[:, None]
    value = arms - (across + shift_y) / mass - tangents * (upward + shift_z) / mass
    free_surface = np.divide(shift_y, tangents, out=np.zeros_like(shift_y), where=np.abs(tangents) > 1e-9)
    derivative = derivatives - (free_surface + upward + shift_z + tangents**2 * free_surface) / mass
    return _Balance(tangents, value, derivative)


def _liquids_shift(test: PreparedTest, contents: Array, planes: Planes, tangents: Array) -> tuple[Array, Array]:
    """Moments by which all liquids move with the heel; water that serves as weight by what each state holds of it."""
    if test.ballast is None:
        return shift_moments(test.tanks, contents, planes, tangents)
    still = [j for j in range(len(test.tanks)) if j not in test.ballast.places]
    across, upward = shift_moments([test.tanks[j] for j in still], contents[:, still], planes, tangents)
    more_across, more_upward = test.ballast.shifts_t_m(tangents)
    return across + more_across, upward + more_upward


def _improved(
    test: PreparedTest, balance: _Balance, initial: Array, sums: Array, design: ReadingDesign, kg: Array, tcg: Array
) -> tuple[Array, Array, Array, list[Array]]:
    """One Gauss-Newton round: new KG and TCG, the states' tangents with them, and their sensitivities."""
    stiffness = balance.derivative - kg[:, None]
    from_list = not test.fits_list_from_readings
    zero = balance.value[:, 0] - kg * balance.tangents[:, 0] if from_list else tcg
    predicted = balance.tangents - (balance.value - zero[:, None] - kg[:, None] * balance.tangents) / stiffness
    pivot = initial[:, None] if from_list else np.zeros_like(initial)[:, None]
    by_kg = (predicted - pivot) / stiffness
    columns = [by_kg] if from_list else [by_kg, 1.0 / stiffness]
    misfit = sums - predicted @ design.gram
    weighted = [column @ design.gram for column in columns]
    normal = np.array([[np.einsum("pk,pk->p", one, other) for other in weighted] for one in columns])
    wanted = np.array([np.einsum("pk,pk->p", column, misfit) for column in columns])
    try:
        step = np.linalg.solve(normal.transpose(2, 0, 1), wanted.T[..., None])[..., 0]
    except np.linalg.LinAlgError:
        raise _no_settling() from None
    kg = kg + step[:, 0]
    moved = predicted + sum((column * step[:, i : i + 1] for i, column in enumerate(columns)), np.zeros(1))
    tcg = balance.value[:, 0] - kg * initial if from_list else tcg + step[:, 1]
    return kg, tcg, moved, columns


def _no_settling() -> CoreError:
    return CoreError(
        "no-settling",
        "The heeled-equilibrium fit does not settle; the readings do not fit this hull. Check signs, lengths and "
        "the hull form, or use the small-angle method.",
        "/readings",
    )
