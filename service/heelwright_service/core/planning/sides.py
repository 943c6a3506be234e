"""The weights of one side: which kinds in which part of the sequence, and at which places on deck."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.limits import TOLERANCE
from heelwright_service.core.planning.totals import SideTotals
from heelwright_service.core.planning.work import PAIR_WORK, spend

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class SideTable:
    """All choices of kinds for one side, and the bounds of what they can do; arrays of shape (n,).

    Parameters
    ----------
    kinds : ndarray of int
        Kind of each weight in the order of the sequence, shape (n, h). Where parts are alike, in rising order.
    mass_t, square_t2 : ndarray
        Sum of the masses [t] and of their squares [t²].
    reach_t_m, alone_t_m : ndarray
        Largest moment together, and largest of the least of those that stand across alone [t·m].
    z_low_t_m, z_high_t_m, y_low_t_m, y_high_t_m : ndarray
        Ends of the moments about the baseline and, of the middles, about the centreline [t·m].
    """

    kinds: Indices
    mass_t: Array
    square_t2: Array
    reach_t_m: Array
    alone_t_m: Array
    z_low_t_m: Array
    z_high_t_m: Array
    y_low_t_m: Array
    y_high_t_m: Array

    @classmethod
    def of(cls, deck: Deck, per_side: int, ordered: bool) -> SideTable:
        """List the choices of kinds for one side.

        Parameters
        ----------
        deck : Deck
            Weights and places.
        per_side : int
            Number of weights on a side.
        ordered : bool
            Whether it matters which weight is in the middle of the sequence.

        Returns
        -------
        SideTable
            The choices; empty where no kind may stand anywhere.
        """
        kinds = np.array(list(_choices(deck, per_side, ordered)), dtype=np.intp).reshape(-1, per_side)
        mass = deck.kinds.mass_t[kinds]
        best = deck.best_moment_t_m[kinds]

        def over(values: Array, largest: bool) -> Array:
            return np.asarray(np.sum(mass * deck.over_places(values, largest)[kinds], axis=1))

        widest = np.append(deck.widest_m(per_side), np.zeros(per_side))[:per_side]
        z, middle = deck.spots.z_m, deck.spots.middle_m
        return cls(
            kinds,
            mass.sum(axis=1),
            (mass**2).sum(axis=1),
            np.minimum(best.sum(axis=1), np.sort(mass, axis=1)[:, ::-1] @ widest),
            np.minimum(best[:, 0], best[:, -1]),
            over(z, False),
            over(z, True),
            over(middle, False),
            over(middle, True),
        )


def _choices(deck: Deck, per_side: int, ordered: bool) -> Iterator[tuple[int, ...]]:
    usable = [int(k) for k in np.flatnonzero((deck.best_moment_t_m > 0.0) & (deck.kinds.count > 0))]
    if deck.kinds.equal_only:
        yield from ((k,) * per_side for k in usable)
        return
    for chosen in itertools.combinations_with_replacement(usable, per_side):
        spend(PAIR_WORK)
        if all(chosen.count(k) <= deck.kinds.count[k] for k in set(chosen)):
            yield from _orders(chosen, ordered)


def _orders(chosen: tuple[int, ...], ordered: bool) -> Iterator[tuple[int, ...]]:
    if not ordered or len(chosen) < 3:
        yield chosen
        return
    for middle in sorted(set(chosen)):
        ends = list(chosen)
        ends.remove(middle)
        yield (ends[0], middle, ends[1])


@dataclass(frozen=True, eq=False)
class Arrangements:
    """All ways to put the weights of one side at places; arrays of shape (a,) or (a, places).

    Parameters
    ----------
    deck : Deck
        Weights and places.
    kinds : tuple of int
        Kind of each weight in the order of the sequence.
    spots : ndarray of int
        Place of each weight, shape (a, h).
    """

    deck: Deck
    kinds: tuple[int, ...]
    spots: Indices

    @classmethod
    def of(cls, deck: Deck, kinds: tuple[int, ...], ordered: bool) -> Arrangements:
        """List the arrangements that keep the capacity of every place by themselves.

        Parameters
        ----------
        deck : Deck
            Weights and places.
        kinds : tuple of int
            Kind of each weight in the order of the sequence.
        ordered : bool
            Whether it matters which weight is in the middle of the sequence.

        Returns
        -------
        Arrangements
            Alike ones once, with rising places.
        """
        allowed = [np.flatnonzero(deck.longest[k] > 0) for k in kinds]
        spend(math.prod(len(each) for each in allowed))
        spots = np.stack([each.ravel() for each in np.meshgrid(*allowed, indexing="ij")], axis=1)
        for p, q in itertools.combinations(range(len(kinds)), 2):
            middle = ordered and len(kinds) == 3 and 1 in (p, q)
            if kinds[p] == kinds[q] and not middle:
                spots = spots[spots[:, p] <= spots[:, q]]
        found = cls(deck, kinds, spots.astype(np.intp))
        fits = np.all(found.units <= deck.spots.units, axis=1)
        fits &= np.all(found.standing_t <= deck.spots.max_mass_t * (1.0 + TOLERANCE), axis=1)
        return found.part(fits)

    def part(self, chosen: NDArray[np.bool_]) -> Arrangements:
        """Some of the arrangements.

        Parameters
        ----------
        chosen : ndarray of bool
            Which.

        Returns
        -------
        Arrangements
            Those.
        """
        return Arrangements(self.deck, self.kinds, self.spots[chosen])

    @cached_property
    def mass_t(self) -> Array:
        """Masses of the weights [t], shape (h,)."""
        return np.asarray(self.deck.kinds.mass_t[list(self.kinds)])

    @cached_property
    def units(self) -> Array:
        """Number of weights at each place."""
        places = np.arange(len(self.deck.spots.x_m))
        return np.asarray((self.spots[:, :, None] == places).sum(axis=1, dtype=float))

    @cached_property
    def standing_t(self) -> Array:
        """Mass at each place [t]."""
        places = np.arange(len(self.deck.spots.x_m))
        return np.asarray(((self.spots[:, :, None] == places) * self.mass_t[:, None]).sum(axis=1))

    @cached_property
    def reaches_t_m(self) -> Array:
        """Largest moment of each weight [t·m], shape (a, h)."""
        steps = np.stack([self.deck.longest[k][self.spots[:, i]] for i, k in enumerate(self.kinds)], axis=1)
        return np.asarray(self.mass_t * self.deck.spots.step_m * steps)

    @cached_property
    def reach_t_m(self) -> Array:
        """Largest moment of all weights together [t·m], shape (a,)."""
        return np.asarray(self.reaches_t_m.sum(axis=1))

    @cached_property
    def alone_t_m(self) -> Array:
        """Largest of the least moment of those that stand across alone [t·m], shape (a,)."""
        return np.minimum(self.reaches_t_m[:, 0], self.reaches_t_m[:, -1])

    @cached_property
    def moments_t_m(self) -> Array:
        """Moments along, above the baseline, and of the middles about the centreline [t·m], shape (3, a)."""
        spots = self.deck.spots
        places = np.stack([spots.x_m, spots.z_m, spots.middle_m])
        return np.asarray((self.mass_t * places[:, self.spots]).sum(axis=2))

    def totals(self, number: int) -> SideTotals:
        """What the weights of one arrangement can make up.

        Parameters
        ----------
        number : int
            Which arrangement.

        Returns
        -------
        SideTotals
            Kept, so that its answers are remembered.
        """
        if number not in self._totals:
            steps = tuple(self.deck.steps(k, int(s)) for k, s in zip(self.kinds, self.spots[number], strict=True))
            mass = tuple(float(m) for m in self.mass_t)
            self._totals[number] = SideTotals(mass, steps, self.deck.spots.step_m)
        return self._totals[number]

    @cached_property
    def _totals(self) -> dict[int, SideTotals]:
        return {}
