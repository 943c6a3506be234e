"""Which moments the weights of one side can make up together, each shift a whole number of steps."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.limits import TOLERANCE
from heelwright_service.core.planning.work import spend

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class SideTotals:
    """The weights of one side at their places, in the order of the sequence.

    Parameters
    ----------
    mass_t : tuple of float
        Their masses [t].
    steps : tuple of ndarray of int
        Allowed lengths of shift of each, in steps, rising.
    step_m : float
        Step [m].
    """

    mass_t: tuple[float, ...]
    steps: tuple[Indices, ...]
    step_m: float
    _known: dict[tuple[float, float], float | None] = field(default_factory=dict)

    def largest(self, at_most_t_m: float, floor_t_m: float = 0.0) -> float | None:
        """Largest total not above a limit.

        Parameters
        ----------
        at_most_t_m : float
            Limit of the total [t·m].
        floor_t_m : float
            Least moment of the weights that stand across alone at some state, the first and the last [t·m].

        Returns
        -------
        float or None
            The total [t·m], or None where there is none.
        """
        key = (at_most_t_m, floor_t_m)
        if key not in self._known:
            self._known[key] = self._largest(at_most_t_m * (1.0 + TOLERANCE), floor_t_m)
        return self._known[key]

    def _largest(self, limit: float, floor_t_m: float) -> float | None:
        parts = self.parts(floor_t_m)
        if any(len(part) == 0 for part in parts):
            return None
        longest = float(sum(part[-1] for part in parts))
        if longest <= limit:
            return longest
        widest = max(range(len(parts)), key=lambda i: len(parts[i]))
        others = _sums([part for i, part in enumerate(parts) if i != widest])
        place = np.searchsorted(parts[widest], limit - others, side="right") - 1
        reached = place >= 0
        if not reached.any():
            return None
        return float(np.max(others[reached] + parts[widest][place[reached]]))

    def totals(self, at_least_t_m: float, at_most_t_m: float, floor_t_m: float = 0.0) -> Array:
        """All totals between two limits, rising.

        Parameters
        ----------
        at_least_t_m, at_most_t_m : float
            Limits [t·m].
        floor_t_m : float
            As for `largest` [t·m].

        Returns
        -------
        ndarray
            The totals [t·m].
        """
        parts = self.parts(floor_t_m)
        widest = max(range(len(parts)), key=lambda i: len(parts[i]))
        others = _sums([part for i, part in enumerate(parts) if i != widest])
        first = np.searchsorted(parts[widest], at_least_t_m * (1.0 - TOLERANCE) - others, side="left")
        taken = np.searchsorted(parts[widest], at_most_t_m * (1.0 + TOLERANCE) - others, side="right") - first
        taken = np.maximum(taken, 0)
        place = np.arange(taken.sum()) - np.repeat(np.cumsum(taken) - taken, taken) + np.repeat(first, taken)
        return np.unique(np.repeat(others, taken) + parts[widest][place])

    def split(self, total_t_m: float, floor_t_m: float = 0.0) -> tuple[int, ...] | None:
        """Shifts that make up a total as evenly as can be.

        Parameters
        ----------
        total_t_m : float
            The total [t·m].
        floor_t_m : float
            As for `largest` [t·m].

        Returns
        -------
        tuple of int or None
            Steps of each weight: least sum of squares of the moments, then the shortest first shift and so on; None
            where the total cannot be made up.
        """
        allowed = self._allowed(floor_t_m)
        grid = np.meshgrid(*allowed, indexing="ij")
        moments = np.stack([mass * self.step_m * steps for mass, steps in zip(self.mass_t, grid, strict=True)])
        hit = np.abs(moments.sum(axis=0) - total_t_m) <= TOLERANCE * total_t_m
        if not hit.any():
            return None
        square = np.where(hit, (moments**2).sum(axis=0), np.inf)
        first = np.argwhere(square <= square.min() * (1.0 + TOLERANCE))[0]
        return tuple(int(steps[i]) for steps, i in zip(allowed, first, strict=True))

    def parts(self, floor_t_m: float) -> tuple[Array, ...]:
        """Moments that each weight can give [t·m], rising.

        Parameters
        ----------
        floor_t_m : float
            As for `largest` [t·m].

        Returns
        -------
        tuple of ndarray
            One array a weight.
        """
        allowed = self._allowed(floor_t_m)
        return tuple(
            np.asarray(mass * self.step_m * steps, float) for mass, steps in zip(self.mass_t, allowed, strict=True)
        )

    def _allowed(self, floor_t_m: float) -> list[Indices]:
        alone = {0, len(self.steps) - 1}
        least = floor_t_m * (1.0 - TOLERANCE)
        return [
            steps[mass * self.step_m * steps >= least] if i in alone else steps
            for i, (mass, steps) in enumerate(zip(self.mass_t, self.steps, strict=True))
        ]


def _sums(parts: list[Array]) -> Array:
    sums = np.zeros(1)
    for part in parts:
        spend(len(sums) * len(part))
        sums = (sums[:, None] + part).ravel()
    return sums
