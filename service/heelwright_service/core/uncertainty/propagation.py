"""Linear propagation (JCGM 100) and simulation (JCGM 101) of the same chain."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from heelwright_service.core.arms import HydrostaticSource
from heelwright_service.core.chain import Outcome, evaluate
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.uncertainty.inputs import Component, perturbed

Array = NDArray[np.float64]

COVERAGE = 0.95
BATCH = 10_000
"""Draws between two looks at the stability of the interval ends (JCGM 101:2008, 7.9.4)."""

MOST_DRAWS = 400_000
LEAST_DRAWS = 40_000

CHUNK = 1_000
"""Draws in work at once: their arrays stay in the processor's cache, their products below the size at which the linear
algebra library starts threads of its own."""

SIGNIFICANT_DIGITS = 1
"""Digits of a standard uncertainty that count in the validation of the linear result (JCGM 101:2008, 8.1)."""

STABLE_SHARE = 0.2
"""A simulation that judges another result is stable to a fifth of the tolerance of that judgement (JCGM 101, 8.2)."""

STEP = 0.1
"""Step of the differences in standard uncertainties: a hundredth of the truncation error of a whole one."""

QUANTITIES = ("displacement_t", "gm_fluid_m", "kg_m", "mass_t", "lcg_m", "tcg_m", "vcg_m")


@dataclass(frozen=True)
class Run:
    """What a propagation needs to run the chain.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    source : HydrostaticSource
        Hydrostatics near the condition.
    parts : list of Component
        The independent errors.
    method : str
        ``small-angle``, ``heeled-equilibrium`` or ``lightweight-survey``: whose values are propagated.
    assumed_kg_m : float or None
        For a survey; see `chain.evaluate`.
    """

    test: PreparedTest
    source: HydrostaticSource
    parts: list[Component]
    method: str
    assumed_kg_m: float | None

    def values(self, amounts: Array) -> Array:
        """Run the chain with amounts of the components.

        Parameters
        ----------
        amounts : ndarray
            Shape (p, q).

        Returns
        -------
        ndarray
            The quantities, shape (p, 7); NaN where a quantity is not measured.
        """
        heeled = self.method == "heeled-equilibrium"
        found = []
        for first in range(0, len(amounts), CHUNK):
            errors = perturbed(self.test, self.parts, amounts[first : first + CHUNK])
            outcome = evaluate(self.test, errors, self.source, self.assumed_kg_m, heeled)
            found.append(quantities(outcome, self.method))
        return np.concatenate(found)


def quantities(outcome: Outcome, method: str) -> Array:
    """Take the quantities with a stated uncertainty from an outcome.

    Parameters
    ----------
    outcome : Outcome
        p draws.
    method : str
        Whose values.

    Returns
    -------
    ndarray
        Shape (p, 7), in the order of `QUANTITIES`.
    """
    light = outcome.lightship[method]
    unknown = np.full(len(outcome.displacement_t), np.nan)
    fit = {"small-angle": outcome.small_angle, "heeled-equilibrium": outcome.heeled}.get(method)
    gm, kg = (unknown, unknown) if fit is None else (fit.gm_fluid_m, fit.kg_m)
    return np.column_stack([outcome.displacement_t, gm, kg, light.mass_t, light.lcg_m, light.tcg_m, light.vcg_m])


@dataclass(frozen=True)
class Linear:
    """Result of linear propagation.

    Parameters
    ----------
    contributions : ndarray
        Change of each quantity for one standard uncertainty of each component, shape (q, 7).
    standard : ndarray
        Combined standard uncertainties, shape (7,).
    degrees_of_freedom : ndarray
        Effective degrees of freedom (Welch-Satterthwaite), shape (7,).
    """

    contributions: Array
    standard: Array
    degrees_of_freedom: Array

    def half_width(self) -> Array:
        """Half-width of the 95 % interval, with Student's t for the effective degrees of freedom, shape (7,)."""
        return np.asarray(stats.t.ppf(0.5 + COVERAGE / 2.0, self.degrees_of_freedom) * self.standard)


def linear(run: Run) -> Linear:
    """Propagate by central differences of the chain.

    Parameters
    ----------
    run : Run
        The chain with its components.

    Returns
    -------
    Linear
        Contributions, combined uncertainties and effective degrees of freedom.

    Notes
    -----
    u² = Σ (∂f/∂x_j·u_j)² (JCGM 100:2008, 5.1.2) over independent components; each correlated group is one component.
    ν_eff = u⁴/Σ(u_g⁴/ν_g) (G.4.1); the readings share one scatter and so count as one group.
    """
    if not run.parts:
        zero = np.zeros(len(QUANTITIES))
        return Linear(np.zeros((0, len(QUANTITIES))), zero, np.full(len(QUANTITIES), np.inf))
    steps = STEP * np.diag([part.standard for part in run.parts])
    count = len(steps)
    values = run.values(np.concatenate([steps, -steps]))
    contributions = (values[:count] - values[count:]) / (2.0 * STEP)
    variance = np.sum(contributions**2, axis=0)
    freedom = np.array([part.degrees_of_freedom for part in run.parts])
    finite = np.isfinite(freedom)
    if finite.any():
        group = np.sum(contributions[finite] ** 2, axis=0)
        with np.errstate(divide="ignore", invalid="ignore"):
            effective = np.where(group > 0.0, variance**2 * freedom[finite][0] / group**2, np.inf)
    else:
        effective = np.full(len(QUANTITIES), np.inf)
    return Linear(contributions, np.sqrt(variance), effective)


@dataclass(frozen=True)
class Simulation:
    """Result of a simulation.

    Parameters
    ----------
    draws : int
        Number of draws.
    mean, standard : ndarray
        Means and standard deviations, shape (7,).
    symmetric, shortest : ndarray
        Ends of the probabilistically symmetric and of the shortest 95 % interval, shape (2, 7).
    stable : bool
        Whether mean, standard deviation and ends settled to a fifth of `numerical_tolerance`.
    """

    draws: int
    mean: Array
    standard: Array
    symmetric: Array
    shortest: Array
    stable: bool


def simulate(run: Run, draws: int | None, seed: int, notify: Callable[[int], None] | None = None) -> Simulation:
    """Simulate the chain with random errors.

    Parameters
    ----------
    run : Run
        The chain with its components.
    draws : int or None
        Number of draws; None goes on in batches of 10 000 until the result is stable, 400 000 at the most.
    seed : int
        Seed: the same seed gives the same answer.
    notify : callable, optional
        Told the number of draws done after each batch.

    Returns
    -------
    Simulation
        Standard deviations and intervals.

    Notes
    -----
    JCGM 101:2008; adaptive as in 7.9.4: mean, standard deviation and interval ends are stable when twice the standard
    error of their means over the batches is below the tolerance. The readings' scatter is drawn as Student's t of its
    degrees of freedom (6.4.9), one scale for all readings of a draw.
    """
    rng = np.random.default_rng(seed)
    batches: list[Array] = []
    wanted = draws if draws is not None else MOST_DRAWS
    done = 0
    while done < wanted:
        count = min(BATCH, wanted - done)
        batches.append(run.values(_amounts(run.parts, count, rng)))
        done += count
        if notify is not None:
            notify(done)
        if draws is None and done >= LEAST_DRAWS and _settled(batches):
            break
    values = np.concatenate(batches)
    spread = np.std(values, axis=0, ddof=1)
    settled = done >= LEAST_DRAWS and _settled(batches)
    return Simulation(done, values.mean(axis=0), spread, _symmetric(values), _shortest(values), settled)


def _amounts(parts: Sequence[Component], count: int, rng: np.random.Generator) -> Array:
    amounts = rng.standard_normal((count, len(parts)))
    freedom = np.array([part.degrees_of_freedom for part in parts])
    finite = np.isfinite(freedom)
    if finite.any():
        degrees = freedom[finite][0]
        amounts[:, finite] *= np.sqrt(degrees / rng.chisquare(degrees, count))[:, None]
    return np.asarray(amounts * np.array([part.standard for part in parts]))


def _symmetric(values: Array) -> Array:
    tail = 50.0 * (1.0 - COVERAGE)
    return np.asarray(np.percentile(values, [tail, 100.0 - tail], axis=0))


def _shortest(values: Array) -> Array:
    ordered = np.sort(values, axis=0)
    inside = round(COVERAGE * len(values))
    widths = ordered[inside:] - ordered[: len(values) - inside]
    start = np.argmin(widths, axis=0)
    column = np.arange(values.shape[1])
    return np.stack([ordered[start, column], ordered[start + inside, column]])


def _settled(batches: list[Array]) -> bool:
    whole = [batch for batch in batches if len(batch) == BATCH]
    found = np.stack([np.vstack([b.mean(axis=0), np.std(b, axis=0, ddof=1), _symmetric(b)]) for b in whole])
    error = np.std(found, axis=0, ddof=1) / np.sqrt(len(whole))
    spread = np.std(np.concatenate(whole), axis=0)
    close = 2.0 * error <= STABLE_SHARE * numerical_tolerance(spread)
    return bool(np.all(close | ~np.isfinite(spread) | (spread <= 0.0)))


def numerical_tolerance(standard: Array, digits: int = SIGNIFICANT_DIGITS) -> Array:
    """How far two values may differ and still count as the same, from the digits of their uncertainty that count.

    Parameters
    ----------
    standard : ndarray
        Standard uncertainties.
    digits : int
        Significant digits of them that count.

    Returns
    -------
    ndarray
        Tolerances in the same unit.

    Notes
    -----
    u = c·10^l with c a whole number of that many digits; δ = ½·10^l (JCGM 101:2008, 7.9.2).

    Examples
    --------
    >>> [round(float(v), 9) for v in numerical_tolerance(np.array([0.02, 0.031, 1.9]))]
    [0.005, 0.005, 0.5]
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        power = np.floor(np.log10(standard)) - (digits - 1)
        return np.asarray(np.where(standard > 0.0, 0.5 * 10.0**power, 0.0))
