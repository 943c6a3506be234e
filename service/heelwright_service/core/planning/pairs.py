"""Pairs of choices of kinds, one for each side, with the ranges of what they can do; by rising mass, in blocks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.bounds import Families
from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.heel_model import HeelModel
from heelwright_service.core.planning.limits import TOLERANCE
from heelwright_service.core.planning.sides import SideTable
from heelwright_service.core.planning.work import PAIR_WORK, spend

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

BLOCK = 500_000
"""Pairs in work at once."""


@dataclass(frozen=True, eq=False)
class PairBlock:
    """Pairs of rows of a side table: the first goes to starboard, the second to port.

    Parameters
    ----------
    table : SideTable
        The choices of kinds.
    plus, minus : ndarray of int
        Rows, shape (n,).
    families : Families
        Ranges over all places, shape (n,).
    lightest_t : float
        No pair of this block or of a later one has less mass [t].
    """

    table: SideTable
    plus: Indices
    minus: Indices
    families: Families
    lightest_t: float

    def kinds(self, pair: int) -> tuple[Indices, Indices]:
        """Kinds of one pair.

        Parameters
        ----------
        pair : int
            Which.

        Returns
        -------
        tuple of ndarray
            Of the weights that go to starboard and of those that go to port.
        """
        return self.table.kinds[self.plus[pair]], self.table.kinds[self.minus[pair]]


def pair_blocks(deck: Deck, model: HeelModel, table: SideTable, at_least_t: float) -> Iterator[PairBlock]:
    """List all pairs that the stock allows.

    Parameters
    ----------
    deck : Deck
        Weights and places.
    model : HeelModel
        For the rise of displacement times KM.
    table : SideTable
        Choices of kinds for one side.
    at_least_t : float
        Least mass of all weights [t].

    Returns
    -------
    iterator of PairBlock
        Blocks by rising mass.
    """
    for lightest, plus, minus in _rows(deck, table, at_least_t * (1.0 - TOLERANCE)):
        keep = _in_stock(deck, table, plus, minus)
        if keep.any():
            plus, minus = plus[keep], minus[keep]
            yield PairBlock(table, plus, minus, _families(deck, model, table, plus, minus), lightest)


def _rows(deck: Deck, table: SideTable, at_least_t: float) -> Iterator[tuple[float, Indices, Indices]]:
    """Least mass of these and all further pairs [t], and the two rows of each pair."""
    count = len(table.mass_t)
    if count == 0:
        return
    if deck.kinds.equal_only:
        alike = np.flatnonzero(2.0 * table.mass_t >= at_least_t)
        yield at_least_t, alike, alike
        return
    order = np.argsort(table.mass_t, kind="stable")
    mass = table.mass_t[order]
    done = np.searchsorted(mass, at_least_t - mass, side="left")
    limits = _thresholds(mass)
    lightest = at_least_t
    for limit in limits[limits >= at_least_t]:
        spend(count)
        upto = np.searchsorted(mass, limit - mass, side="right")
        taken = np.maximum(upto - done, 0)
        for rows in _in_parts(taken):
            spend(PAIR_WORK * int(taken[rows].sum()))
            first = np.repeat(np.arange(count)[rows], taken[rows])
            starts = np.cumsum(taken[rows]) - taken[rows]
            second = np.arange(len(first)) - np.repeat(starts - done[rows], taken[rows])
            yield lightest, order[first], order[second]
        done, lightest = np.maximum(done, upto), float(limit)


def _in_parts(taken: Indices) -> Iterator[slice]:
    """Rows in parts of not much more than a block, where many pairs are equally heavy."""
    ends = np.cumsum(taken)
    cuts = np.searchsorted(ends, np.arange(BLOCK, ends[-1] + BLOCK, BLOCK)) + 1
    first = 0
    for cut in np.unique(np.minimum(cuts, len(taken))):
        yield slice(first, int(cut))
        first = int(cut)


def _thresholds(mass: Array) -> Array:
    """Limits of total mass that part all pairs into blocks of about the same size."""
    parts = int(np.ceil(len(mass) ** 2 / BLOCK))
    sample = mass[np.linspace(0, len(mass) - 1, min(len(mass), 400)).astype(int)]
    sums = np.sort((sample[:, None] + sample).ravel())
    inner = sums[np.arange(1, parts) * len(sums) // parts]
    return np.append(inner, 2.0 * mass[-1] * (1.0 + TOLERANCE))


def _in_stock(deck: Deck, table: SideTable, plus: Indices, minus: Indices) -> NDArray[np.bool_]:
    """Whether there are enough of every kind: of each that stands on the first side, counted on both."""
    held = np.ones(len(plus), dtype=bool)
    first, second = table.kinds[plus], table.kinds[minus]
    if deck.kinds.count.min() >= 2 * first.shape[1]:
        return held
    for kind in first.T:
        used = sum((each == kind).astype(np.intp) for each in (*first.T, *second.T))
        held &= used <= deck.kinds.count[kind]
    return held


def _families(deck: Deck, model: HeelModel, table: SideTable, plus: Indices, minus: Indices) -> Families:
    mass = table.mass_t[plus] + table.mass_t[minus]
    gain_low, gain_high = model.gain_range_t_m(mass)
    both = table.reach_t_m[plus] + table.reach_t_m[minus]
    return Families(
        mass,
        np.sqrt(np.maximum(table.square_t2[plus], table.square_t2[minus])),
        table.z_low_t_m[plus] + table.z_low_t_m[minus] - gain_high,
        table.z_high_t_m[plus] + table.z_high_t_m[minus] - gain_low,
        table.y_low_t_m[plus] + table.y_low_t_m[minus],
        table.y_high_t_m[plus] + table.y_high_t_m[minus],
        table.reach_t_m[plus],
        table.reach_t_m[minus],
        np.minimum(both, _shared_reach(deck, table, plus, minus)),
        np.minimum(table.alone_t_m[plus], table.alone_t_m[minus]),
    )


def _shared_reach(deck: Deck, table: SideTable, plus: Indices, minus: Indices) -> Array:
    """Largest sum of all moments when every place takes only so many weights: the heaviest at the widest places."""
    needed = 2 * table.kinds.shape[1]
    mass = np.concatenate([deck.kinds.mass_t[table.kinds[rows]] for rows in (plus, minus)], axis=1)
    fits = mass.sum(axis=1) <= deck.spots.max_mass_t.sum() * (1.0 + TOLERANCE)
    widest = deck.widest_m(needed)
    if len(widest) < needed:
        return np.zeros(len(plus))
    return np.where(fits, np.sort(mass, axis=1)[:, ::-1] @ widest, 0.0)
