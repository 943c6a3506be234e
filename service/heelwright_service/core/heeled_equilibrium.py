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
from heelwright_service.core.small_angle import SmallAngle, centring

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
    predicted : ndarray
        Tangents that the fit gives the readings, without intercepts, shape (p, r).
    residuals : ndarray
        Readings less prediction less intercept, shape (p, r).
    sensitivity : ndarray
        Derivative of each predicted tangent by KG [1/m], shape (p, r).
    """

    kg_m: Array
    tcg_m: Array
    gm_fluid_m: Array
    state_tangents: Array
    predicted: Array
    residuals: Array
    sensitivity: Array


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
    across = test.movements.moments_t_m(masses, errors.spot_y_m, axis=1)
    upward = test.movements.moments_t_m(masses, np.zeros_like(errors.spot_y_m), axis=2)
    initial = _initial_list(test, planes, start)
    tangents = initial[:, None] + start.slope[:, None] * across
    kg, tcg = start.kg_m - errors.km_m, start.tcg_m
    centre = centring(test)
    for _ in range(MOST_ROUNDS):
        balance = _balance(test, source, planes, floating, displacement_t, contents, across, upward, tangents)
        kg, tcg, moved, sensitivity = _improved(test, balance, initial, start.tangents, centre, kg, tcg)
        change = float(np.max(np.abs(moved - tangents)))
        tangents = moved
        if change < SETTLED:
            break
    else:
        raise CoreError(
            "no-settling",
            "The heeled-equilibrium fit does not settle; the readings do not fit this hull. Check signs, lengths and "
            "the hull form, or use the small-angle method.",
            "/readings",
        )
    predicted = tangents[:, test.tangents.state_index]
    residuals = (start.tangents - predicted) @ centre
    true_kg = kg + errors.km_m + errors.hog_kg_m
    free_surface = contents[..., I_T_ROW] @ [tank.sounding.density_t_per_m3 for tank in test.tanks]
    free_surface = free_surface + test.further_free_surface_t_m
    gm = floating.km_t_m - kg - free_surface / displacement_t
    return HeeledFit(true_kg, tcg, gm, tangents, predicted, residuals, sensitivity[:, test.tangents.state_index])


def _initial_list(test: PreparedTest, planes: Planes, start: SmallAngle) -> Array:
    if not test.fits_list_from_readings:
        return planes.slope_y
    residual = start.tangents - start.slope[:, None] * start.effective_t_m
    return np.asarray(residual.mean(axis=1))


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
    shift_y, shift_z = shift_moments(test.tanks, contents, planes, tangents)
    shift_y = shift_y + test.further_free_surface_t_m * tangents
    shift_z = shift_z + 0.5 * test.further_free_surface_t_m * tangents**2
    mass = displacement[:, None]
    value = arms - (across + shift_y) / mass - tangents * (upward + shift_z) / mass
    free_surface = np.divide(shift_y, tangents, out=np.zeros_like(shift_y), where=np.abs(tangents) > 1e-9)
    derivative = derivatives - (free_surface + upward + shift_z + tangents**2 * free_surface) / mass
    return _Balance(tangents, value, derivative)


def _improved(
    test: PreparedTest, balance: _Balance, initial: Array, read: Array, centre: Array, kg: Array, tcg: Array
) -> tuple[Array, Array, Array, Array]:
    """One Gauss-Newton round: new KG and TCG, the states' tangents with them, and the sensitivities to KG."""
    assert test.tangents is not None  # noqa: S101 - callers have readings
    state = test.tangents.state_index
    stiffness = balance.derivative - kg[:, None]
    from_list = not test.fits_list_from_readings
    zero = balance.value[:, 0] - kg * balance.tangents[:, 0] if from_list else tcg
    predicted = balance.tangents - (balance.value - zero[:, None] - kg[:, None] * balance.tangents) / stiffness
    pivot = initial[:, None] if from_list else np.zeros_like(initial)[:, None]
    by_kg = (predicted - pivot) / stiffness
    columns = [by_kg] if from_list else [by_kg, 1.0 / stiffness]
    design = np.stack([column[:, state] @ centre for column in columns], axis=-1)
    misfit = (read - predicted[:, state]) @ centre
    normal = np.einsum("pri,prj->pij", design, design)
    step = np.linalg.solve(normal, np.einsum("pri,pr->pi", design, misfit)[..., None])[..., 0]
    kg = kg + step[:, 0]
    moved = predicted + by_kg * step[:, :1]
    if from_list:
        tcg = balance.value[:, 0] - kg * initial
    else:
        tcg = tcg + step[:, 1]
        moved = moved + step[:, 1:] / stiffness
    return kg, tcg, moved, by_kg
