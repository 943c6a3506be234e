"""The doubts of one reduction: components, propagation, intervals, budgets and what would narrow them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import HydrostaticSource, source_for_copies
from heelwright_service.core.chain import Outcome
from heelwright_service.core.errors import CoreError
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.test_result import BudgetShare, QuantityUncertainty, UncertaintyResult
from heelwright_service.core.uncertainty.inputs import (
    Component,
    ReadingScatter,
    components,
    kinds_in_force,
    reading_scatter,
    stated_reading_standard,
    table_components,
)
from heelwright_service.core.uncertainty.local_source import REACHES, LocalSource
from heelwright_service.core.uncertainty.narrowing import narrowing_sentences
from heelwright_service.core.uncertainty.propagation import (
    QUANTITIES,
    SIGNIFICANT_DIGITS,
    Linear,
    Run,
    Simulation,
    linear,
    numerical_tolerance,
    quantities,
    simulate,
)
from heelwright_service.core.unknown_list import unknown_list_standard

Array = NDArray[np.float64]

DEFAULT_SEED = 1

LEAST_LIST_SPREAD = 1e-4
"""Least standard deviation of the tangent of a list told by instruments that the stand-in is fitted over."""

LARGEST_STAND_IN_ERROR = 1e-5
"""The error of the stand-in for the hull above which the result says so."""


@dataclass(frozen=True)
class Wanted:
    """How the doubts are to be evaluated.

    Parameters
    ----------
    method : {"none", "linear", "monte-carlo"}
        The evaluation.
    draws : int or None
        Draws of a simulation; None is adaptive.
    seed : int
        Seed of a simulation.
    """

    method: str = "linear"
    draws: int | None = None
    seed: int = DEFAULT_SEED


def assess(
    test: PreparedTest,
    outcome: Outcome,
    source: HydrostaticSource,
    best: str,
    assumed_kg_m: float | None,
    wanted: Wanted,
) -> UncertaintyResult | None:
    """Evaluate the uncertainty of a reduction's best estimate.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    outcome : Outcome
        The nominal outcome, shape (1,).
    source : HydrostaticSource
        The exact source of hydrostatics.
    best : str
        The method whose values are given.
    assumed_kg_m : float or None
        For a survey; see `chain.evaluate`.
    wanted : Wanted
        The evaluation.

    Returns
    -------
    UncertaintyResult or None
        None when no evaluation is wanted.

    Raises
    ------
    CoreError
        ``doubts-too-large`` when errors as large as stated leave nothing to compute.
    """
    if wanted.method == "none":
        return None
    run, scatter = prepare_run(test, outcome, source, best, assumed_kg_m)
    try:
        found = linear(run)
        simulated = simulate(run, wanted.draws, wanted.seed) if wanted.method == "monte-carlo" else None
    except CoreError as error:
        raise _too_doubtful(error) from error
    values = quantities(outcome, best)[0]
    near = run.source if isinstance(run.source, LocalSource) else None
    return UncertaintyResult(
        method=wanted.method,
        quantities=_quantities(values, run.parts, found, simulated),
        inputs=kinds_in_force(test),
        draws=None if simulated is None else simulated.draws,
        seed=None if simulated is None else wanted.seed,
        stable=None if simulated is None else simulated.stable,
        significant_digits=None if simulated is None else SIGNIFICANT_DIGITS,
        reading_scatter="" if scatter is None else scatter.sentence,
        stand_in_error_relative=None if near is None else near.largest_error_relative,
        sentences=[*_on_the_stand_in(near), *narrowing_sentences(run, found)],
    )


def _too_doubtful(error: CoreError) -> CoreError:
    return CoreError(
        "doubts-too-large",
        "Within the standard uncertainties in force some draws cannot be computed, so no interval can be given: "
        f"{error.message} Check the uncertainties, or ask for the result without an interval (uncertainty=none).",
        "/uncertainties",
    )


def _on_the_stand_in(near: LocalSource | None) -> list[str]:
    """What has to be said of the hydrostatics that the doubts were worked out with: nothing in the usual case."""
    sentences = []
    if near is not None and near.largest_error_relative > LARGEST_STAND_IN_ERROR:
        share = near.largest_error_relative
        sentences.append(
            f"Near this waterline the hull bends sharply: the doubts rest on hydrostatics known to {share:.1g} only."
        )
    if near is not None and near.reach < REACHES[0]:
        sentences.append(
            f"The hydrostatic table ends within the doubt of the draughts: it served {near.reach:g} standard deviations"
            " to either side, and its trend beyond. Extend the table."
        )
    return sentences


def prepare_run(
    test: PreparedTest,
    outcome: Outcome,
    source: HydrostaticSource,
    best: str,
    assumed_kg_m: float | None,
    planned: bool = False,
) -> tuple[Run, ReadingScatter | None]:
    """Set up the chain for propagation: components and hydrostatics near the condition.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    outcome : Outcome
        The nominal outcome, shape (1,).
    source : HydrostaticSource
        The exact source.
    best : str
        The method to propagate.
    assumed_kg_m : float or None
        For a survey.
    planned : bool
        Whether the readings are made up beforehand: their scatter says nothing, the stated uncertainty holds.

    Returns
    -------
    tuple of Run and ReadingScatter
        The scatter is None for a survey.
    """
    scatter = None if test.movements is None else _scatter(test, outcome, best, planned)
    parts = components(test, scatter, float(outcome.planes.hog_m[0]), assumed_kg_m)
    parts += table_components(source, outcome.planes)
    covariance = _plane_covariance(test, scatter)
    tangents = np.zeros(0)
    spread = 0.0
    if outcome.heeled is not None and best == "heeled-equilibrium":
        tangents = outcome.heeled.state_tangents[0]
        spread = _tangent_spread(test, tangents, covariance, scatter)
    near = LocalSource(source_for_copies(source), outcome.planes, covariance, tangents, spread)
    return Run(test, near, parts, best, assumed_kg_m), scatter


def _scatter(test: PreparedTest, outcome: Outcome, best: str, planned: bool) -> ReadingScatter:
    assert test.tangents is not None  # noqa: S101 - callers have readings
    assert outcome.small_angle is not None  # noqa: S101 - callers have readings
    if planned:
        return ReadingScatter(stated_reading_standard(test), np.inf, "the stated uncertainty of a reading")
    small = outcome.small_angle
    if best == "heeled-equilibrium" and outcome.heeled is not None:
        columns = [column[0] for column in outcome.heeled.state_sensitivities]
        return reading_scatter(test, outcome.heeled.residuals[0], small.design.residual_projection(columns))
    return reading_scatter(test, small.residuals[0], small.design.residual_projection([small.state_effective_t_m[0]]))


def _plane_covariance(test: PreparedTest, scatter: ReadingScatter | None) -> Array:
    """Covariance of the water surface: by the heights read and, where they cannot tell the list, by the list's own."""
    covariance = np.asarray((test.fit.matrix * test.heights_standard_m**2) @ test.fit.matrix.T)
    if test.fit.determined[2]:
        return covariance
    spread = unknown_list_standard(test)
    if scatter is not None:
        spread = max(spread, float(np.mean(scatter.standard)), LEAST_LIST_SPREAD)
    along = -test.fit.matrix @ test.points.y_m
    along[2] = 1.0
    return np.asarray(covariance + np.outer(along, along) * spread**2)


def _tangent_spread(test: PreparedTest, tangents: Array, covariance: Array, scatter: ReadingScatter | None) -> float:
    """How much the states' tangents differ between draws: the list's own spread and the scale of the heel."""
    lengths = [i.length_m for i in test.record.instruments if i.length_m is not None]
    relative = test.standard.weight_mass_relative + (test.standard.pendulum_length_m / min(lengths) if lengths else 0.0)
    heel = float(np.ptp(tangents)) * (relative + 0.01)
    readings = 0.0 if scatter is None else float(np.mean(scatter.standard))
    return float(np.sqrt(covariance[2, 2] + heel**2 + readings**2)) + 1e-6


def _quantities(
    values: Array, parts: list[Component], found: Linear, simulated: Simulation | None
) -> dict[str, QuantityUncertainty | None]:
    result: dict[str, QuantityUncertainty | None] = dict.fromkeys(QUANTITIES)
    for i, name in enumerate(QUANTITIES):
        if np.isfinite(values[i]):
            own = _linear(float(values[i]), parts, found, i)
            result[name] = own if simulated is None else _simulated(own, simulated, i)
    return result


def _linear(value: float, parts: list[Component], found: Linear, i: int) -> QuantityUncertainty:
    half, freedom = float(found.half_width()[i]), float(found.degrees_of_freedom[i])
    return QuantityUncertainty(
        value,
        float(found.standard[i]),
        value - half,
        value + half,
        freedom if np.isfinite(freedom) else None,
        budget_of(parts, found.contributions[:, i]),
    )


def _simulated(own: QuantityUncertainty, simulated: Simulation, i: int) -> QuantityUncertainty:
    low, high = (float(end) for end in simulated.symmetric[:, i])
    standard = float(simulated.standard[i])
    tolerance = float(numerical_tolerance(np.array(standard)))
    return replace(
        own,
        standard=standard,
        low_95=low,
        high_95=high,
        shortest_low_95=float(simulated.shortest[0, i]),
        shortest_high_95=float(simulated.shortest[1, i]),
        linear_standard=own.standard,
        linear_low_95=own.low_95,
        linear_high_95=own.high_95,
        validation_tolerance=tolerance,
        linear_validated=max(abs(own.low_95 - low), abs(own.high_95 - high)) <= tolerance,
    )


def budget_of(parts: list[Component], contributions: Array) -> list[BudgetShare]:
    """Gather contributions by kind of input into shares of the variance, largest first.

    Parameters
    ----------
    parts : list of Component
        The independent errors.
    contributions : ndarray
        Change of one quantity for one standard uncertainty of each component, shape (q,).

    Returns
    -------
    list of BudgetShare
        Shares that add to one; empty when nothing is uncertain.
    """
    total = float(np.sum(contributions**2))
    if total <= 0.0:
        return []
    by_kind: dict[str, float] = {}
    for part, contribution in zip(parts, contributions, strict=True):
        by_kind[part.kind] = by_kind.get(part.kind, 0.0) + float(contribution) ** 2
    ordered = sorted(by_kind.items(), key=lambda pair: (-pair[1], pair[0]))
    return [BudgetShare(kind, variance / total, float(np.sqrt(variance))) for kind, variance in ordered]
