"""All arrangements of the two sides crossed: stiffness and list exact, only the shifts still open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.bounds import Families, Ship
from heelwright_service.core.planning.limits import TOLERANCE, Limits
from heelwright_service.core.planning.sides import Arrangements
from heelwright_service.core.planning.totals import SideTotals
from heelwright_service.core.planning.work import spend

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

BLOCK = 400_000
"""Crossed arrangements in work at once."""


@dataclass(frozen=True, eq=False)
class Crossing:
    """Some crossed arrangements that keep the capacities.

    Parameters
    ----------
    plus, minus : Arrangements
        Of the weights that go to starboard and of those that go to port.
    rows, columns : ndarray of int
        Numbers of the two arrangements, shape (n,).
    families : Families
        With single values in place of ranges, shape (n,).
    """

    plus: Arrangements
    minus: Arrangements
    rows: Indices
    columns: Indices
    families: Families

    @property
    def mass_t(self) -> float:
        """Mass of all weights [t]."""
        return float(self.plus.mass_t.sum() + self.minus.mass_t.sum())

    @property
    def kinds(self) -> tuple[int, ...]:
        """Kinds in the order of the sequence."""
        return tuple(k for both in zip(self.plus.kinds, self.minus.kinds, strict=True) for k in both)

    def spots(self, n: int) -> tuple[int, ...]:
        """Places in the order of the sequence.

        Parameters
        ----------
        n : int
            Which crossed arrangement.

        Returns
        -------
        tuple of int
            A first.
        """
        both = np.stack([self.plus.spots[self.rows[n]], self.minus.spots[self.columns[n]]], axis=1)
        return tuple(int(s) for s in both.ravel())

    def totals(self, n: int) -> tuple[SideTotals, SideTotals]:
        """What the two sides can make up.

        Parameters
        ----------
        n : int
            Which crossed arrangement.

        Returns
        -------
        tuple of SideTotals
            To starboard and to port.
        """
        return self.plus.totals(int(self.rows[n])), self.minus.totals(int(self.columns[n]))

    def place_code(self, chosen: Indices) -> Array:
        """A number for each of some crossed arrangements that rises in the order of their places.

        Parameters
        ----------
        chosen : ndarray of int
            Which.

        Returns
        -------
        ndarray
            The places read as digits.
        """
        both = np.stack([self.plus.spots[self.rows[chosen]], self.minus.spots[self.columns[chosen]]], axis=2)
        return np.asarray(both.reshape(len(chosen), both.shape[1] * 2) @ self._digits(both.shape[1] * 2))

    def code_of(self, spots: tuple[int, ...]) -> float:
        """The same number for places given in the order of the sequence.

        Parameters
        ----------
        spots : tuple of int
            Places, A first.

        Returns
        -------
        float
            The number.
        """
        return float(np.array(spots) @ self._digits(len(spots)))

    def _digits(self, length: int) -> Array:
        return np.asarray(float(len(self.plus.deck.spots.x_m)) ** np.arange(length - 1, -1, -1))


def cross(ship: Ship, limits: Limits, plus: Arrangements, minus: Arrangements) -> Iterator[Crossing]:
    """Cross the arrangements of two sides.

    Parameters
    ----------
    ship : Ship
        The ship.
    limits : Limits
        Arrangements that cannot reach the least moment, or that trim the ship too much, are left out.
    plus, minus : Arrangements
        Of the weights that go to starboard and of those that go to port.

    Returns
    -------
    iterator of Crossing
        Blocks of crossed arrangements.
    """
    if len(plus.spots) == 0 or len(minus.spots) == 0:
        return
    mass = float(plus.mass_t.sum() + minus.mass_t.sum())
    lowest = float(ship.model.gain_range_t_m(np.array([mass]))[0][0])
    fall = float(plus.moments_t_m[1].max() + minus.moments_t_m[1].max()) - lowest
    need = (ship.stiff_t_m - fall) * limits.least_tangent + float(ship.model.excess_t_m(limits.least_tangent))
    rows, columns = (
        np.flatnonzero(side.reach_t_m * (1.0 + TOLERANCE) >= need * (1.0 - TOLERANCE)) for side in (plus, minus)
    )
    step = max(1, BLOCK // max(1, len(columns)))
    for first in range(0, len(rows), step):
        spend(len(rows[first : first + step]) * len(columns))
        yield _crossed(ship, limits, plus, minus, rows[first : first + step], columns)


def _crossed(
    ship: Ship, limits: Limits, plus: Arrangements, minus: Arrangements, rows: Indices, columns: Indices
) -> Crossing:
    i, j = np.nonzero(_fitting(plus, minus, rows, columns))
    i, j = rows[i], columns[j]
    mass = float(plus.mass_t.sum() + minus.mass_t.sum())
    along, up, middle = plus.moments_t_m[:, i] + minus.moments_t_m[:, j]
    level = np.abs(ship.model.trim_slope(mass, along)) <= limits.trim_slope
    if not level.all():
        i, j, along, up, middle = i[level], j[level], along[level], up[level], middle[level]
    fall = up - ship.model.gain_t_m(mass, along)
    reach = plus.reach_t_m[i], minus.reach_t_m[j]
    alone = np.minimum(plus.alone_t_m[i], minus.alone_t_m[j])
    rss = float(np.sqrt(max((plus.mass_t**2).sum(), (minus.mass_t**2).sum())))
    same = np.ones(len(i))
    families = Families(mass * same, rss * same, fall, fall, middle, middle, *reach, reach[0] + reach[1], alone)
    return Crossing(plus, minus, i, j, families)


def _fitting(plus: Arrangements, minus: Arrangements, rows: Indices, columns: Indices) -> NDArray[np.bool_]:
    spots = plus.deck.spots
    fits = np.ones((len(rows), len(columns)), dtype=bool)
    for s in np.flatnonzero(np.isfinite(spots.units)):
        fits &= plus.units[rows, s][:, None] + minus.units[columns, s] <= spots.units[s]
    for s in np.flatnonzero(np.isfinite(spots.max_mass_t)):
        standing = plus.standing_t[rows, s][:, None] + minus.standing_t[columns, s]
        fits &= standing <= spots.max_mass_t[s] * (1.0 + TOLERANCE)
    return fits
