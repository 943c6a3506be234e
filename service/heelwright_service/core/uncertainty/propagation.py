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
MOST_DRAWS = 400_000
LEAST_DRAWS = 40_000

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
        errors = perturbed(self.test, self.parts, amounts)
        return quantities(evaluate(self.test, errors, self.source, self.assumed_kg_m, heeled), self.method)


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
    sizes = np.diag([part.standard for part in run.parts])
    count = len(sizes)
    values = run.values(np.concatenate([sizes, -sizes]))
    contributions = 0.5 * (values[:count] - values[count:])
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
    standard : ndarray
        Standard deviations, shape (7,).
    symmetric, shortest : ndarray
        Ends of the probabilistically symmetric and of the shortest 95 % interval, shape (2, 7).
    stable : bool
        Whether the ends settled to a twentieth of the standard uncertainty.
    """

    draws: int
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
        Number of draws; None goes on in batches of 10 000 until the interval ends are stable.
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
    JCGM 101:2008; adaptive as in 7.9: the ends are stable when twice the standard error of their batch means is below a
    twentieth of the standard uncertainty. The readings' scatter is drawn as Student's t of its degrees of freedom
    (6.4.9), one scale for all readings of a draw.
    """
    rng = np.random.default_rng(seed)
    batches: list[Array] = []
    wanted = draws if draws is not None else MOST_DRAWS
    done = 0
    stable = draws is not None
    while done < wanted:
        count = min(BATCH, wanted - done)
        batches.append(run.values(_amounts(run.parts, count, rng)))
        done += count
        if notify is not None:
            notify(done)
        if draws is None and done >= LEAST_DRAWS and _settled(batches):
            stable = True
            break
    values = np.concatenate(batches)
    return Simulation(done, np.std(values, axis=0, ddof=1), _symmetric(values), _shortest(values), stable)


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
    ends = np.stack([_symmetric(batch) for batch in batches])
    error = np.std(ends, axis=0, ddof=1) / np.sqrt(len(batches))
    spread = np.std(np.concatenate(batches), axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        tolerance = numerical_tolerance(spread)
        close = 2.0 * error <= tolerance
    return bool(np.all(close | ~np.isfinite(spread) | (spread <= 0.0)))


def numerical_tolerance(standard: Array) -> Array:
    """How far interval ends may differ and still count as the same: a twentieth of the standard uncertainty.

    Parameters
    ----------
    standard : ndarray
        Standard uncertainties.

    Returns
    -------
    ndarray
        Tolerances in the same unit: the most that two significant digits allow (JCGM 101:2008, 7.9.2).

    Examples
    --------
    >>> numerical_tolerance(np.array([0.02])).tolist()
    [0.001]
    """
    return np.asarray(standard / 20.0)
