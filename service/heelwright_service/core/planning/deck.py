"""Weights and places on deck as numbers: which weight may stand and be lifted where, and how far it may go across."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.limits import TOLERANCE
from heelwright_service.core.planning.request import Crane, DeckPosition, PlanRequest
from heelwright_service.core.planning.work import STEP_WORK, spend

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

LARGEST_TOTAL_RELATIVE = 0.2
"""With free mass the weights together are at most this share of the displacement (office default)."""


@dataclass(frozen=True, eq=False)
class Kinds:
    """The kinds of weights, by number.

    Parameters
    ----------
    mass_t : ndarray
        Mass of one [t], shape (k,).
    count : ndarray of int
        How many there are, shape (k,).
    footprint_m2 : ndarray
        Footprint [m²], NaN where unknown, shape (k,).
    equal_only : bool
        Whether all weights of a plan are of one kind (free mass in steps).
    """

    mass_t: Array
    count: Indices
    footprint_m2: Array
    equal_only: bool

    @classmethod
    def of(cls, request: PlanRequest) -> Kinds:
        """Take the stock, or every multiple of the step that could be of use.

        Parameters
        ----------
        request : PlanRequest
            The request.

        Returns
        -------
        Kinds
            In the order of the stock; by rising mass for free mass.
        """
        if request.weight_step_t is None:
            mass = np.array([unit.mass_t for unit in request.stock])
            count = np.array([unit.count for unit in request.stock], dtype=np.intp)
            print_m2 = [math.nan if unit.footprint_m2 is None else unit.footprint_m2 for unit in request.stock]
            return cls(mass, count, np.array(print_m2), False)
        most = LARGEST_TOTAL_RELATIVE * request.displacement_t / min(request.counts)
        steps = max(1, math.floor(most / request.weight_step_t * (1.0 + TOLERANCE)))
        spend(STEP_WORK * steps)
        mass = np.asarray(request.weight_step_t * np.arange(1, steps + 1), float)
        return cls(mass, np.full(steps, max(request.counts), dtype=np.intp), np.full(steps, math.nan), True)


@dataclass(frozen=True, eq=False)
class Spots:
    """The places on deck, by number; arrays of shape (s,).

    Parameters
    ----------
    x_m, z_m, middle_m : ndarray
        Position along, height of the weights' centre, middle between the port and the starboard limit [m].
    units, max_mass_t, deck_load_t_per_m2 : ndarray
        Limits of one side; infinite where none is given.
    lift_limit_t : tuple of ndarray
        For every place, the mass that the crane may lift at both ends of a shift of 1, 2, 3 … steps [t].
    step_m : float
        Step of the shifts [m].
    """

    x_m: Array
    z_m: Array
    middle_m: Array
    units: Array
    max_mass_t: Array
    deck_load_t_per_m2: Array
    lift_limit_t: tuple[Array, ...]
    step_m: float

    @classmethod
    def of(cls, request: PlanRequest) -> Spots:
        """Take the positions of a request.

        Parameters
        ----------
        request : PlanRequest
            The request.

        Returns
        -------
        Spots
            In the order of the request.
        """
        given = request.positions
        return cls(
            np.array([p.x_m for p in given]),
            np.array([p.z_m for p in given]),
            np.array([0.5 * (p.y_port_m + p.y_starboard_m) for p in given]),
            np.array([math.inf if p.units_per_side is None else p.units_per_side for p in given], dtype=float),
            np.array([math.inf if p.max_mass_t is None else p.max_mass_t for p in given]),
            np.array([math.inf if p.deck_load_t_per_m2 is None else p.deck_load_t_per_m2 for p in given]),
            tuple(_lift_limits(p, request.shift_step_m, request.crane) for p in given),
            request.shift_step_m,
        )


def _lift_limits(position: DeckPosition, step_m: float, crane: Crane | None) -> Array:
    most = math.floor((position.y_starboard_m - position.y_port_m) / step_m * (1.0 + TOLERANCE))
    spend(most)
    shift = np.asarray(step_m * np.arange(1, most + 1), float)
    if crane is None:
        return np.full(most, math.inf)
    middle = 0.5 * (position.y_port_m + position.y_starboard_m)
    ends = [safe_working_load(crane, position.x_m, np.asarray(middle + 0.5 * s * shift)) for s in (-1.0, 1.0)]
    return np.minimum(*ends)


def safe_working_load(crane: Crane, x_m: float, y_m: Array | float) -> Array:
    """Mass that a crane may lift at a place.

    Parameters
    ----------
    crane : Crane
        The crane.
    x_m : float
        Place along the ship [m].
    y_m : float or ndarray
        Place across [m].

    Returns
    -------
    ndarray
        Safe working load [t], 0 out of reach: beyond the largest radius, or off either end of the curve.

    Examples
    --------
    >>> crane = Crane(0.0, 0.0, 20.0, [(5.0, 10.0), (15.0, 4.0)], False, 5.0)
    >>> safe_working_load(crane, 10.0, np.array([0.0, 12.0])).tolist()
    [7.0, 0.0]
    """
    radius = np.hypot(x_m - crane.x_m, np.asarray(y_m, float) - crane.y_m)
    radii, loads = (np.array(column) for column in zip(*crane.curve, strict=True))
    slack = TOLERANCE * radii[-1]
    reached = (radius >= radii[0] - slack) & (radius <= min(radii[-1], crane.radius_max_m) + slack)
    return np.where(reached, np.interp(radius, radii, loads), 0.0)


@dataclass(frozen=True, eq=False)
class Deck:
    """Which kind may stand where and go how far."""

    kinds: Kinds
    spots: Spots

    @classmethod
    def of(cls, request: PlanRequest) -> Deck:
        """Put the weights and the places of a request together.

        Parameters
        ----------
        request : PlanRequest
            The request.

        Returns
        -------
        Deck
            The deck.
        """
        return cls(Kinds.of(request), Spots.of(request))

    def without_twins(self, most: int, centre_x_m: float | None = None) -> Deck:
        """Leave places out that are alike but for x: so many weights need no more than so many of each sort.

        Parameters
        ----------
        most : int
            Number of weights.
        centre_x_m : float, optional
            Of places alike those nearest to it stay [m]; the first ones where it is None.

        Returns
        -------
        Deck
            With the same numbers of the places; those left out take no weight.
        """
        spots = self.spots
        order = (
            range(len(spots.x_m)) if centre_x_m is None else np.argsort(np.abs(spots.x_m - centre_x_m), kind="stable")
        )
        seen: Counter[tuple[object, ...]] = Counter()
        units = spots.units.copy()
        for s in order:
            limits = (units[s], spots.max_mass_t[s], spots.deck_load_t_per_m2[s], spots.lift_limit_t[s].tobytes())
            alike = (spots.z_m[s], spots.middle_m[s], *limits)
            seen[alike] += 1
            if seen[alike] > most:
                units[s] = 0.0
        return replace(self, spots=replace(spots, units=units))

    @cached_property
    def longest(self) -> Indices:
        """Steps of the longest shift of a kind at a place, 0 where it may not stand; shape (k, s)."""
        kinds, spots = self.kinds, self.spots
        found = np.zeros((len(kinds.mass_t), len(spots.x_m)), dtype=np.intp)
        for s, limit in enumerate(spots.lift_limit_t):
            beyond = np.maximum.accumulate(limit[::-1])[::-1]  # the most that a shift of this length or more allows
            found[:, s] = np.searchsorted(-beyond, -kinds.mass_t * (1.0 - TOLERANCE), side="right")
        footprint = np.where(np.isnan(kinds.footprint_m2), math.inf, kinds.footprint_m2)
        borne = np.minimum(spots.deck_load_t_per_m2 * footprint[:, None], spots.max_mass_t)
        heavy = kinds.mass_t[:, None] > borne * (1.0 + TOLERANCE)
        found[heavy | (spots.units < 1.0)] = 0
        return found

    @cached_property
    def best_moment_t_m(self) -> Array:
        """Largest moment of a kind over all places [t·m], shape (k,)."""
        return np.asarray(self.kinds.mass_t * self.spots.step_m * self.longest.max(axis=1))

    def widest_m(self, number: int) -> Array:
        """Longest shifts of so many weights at once, whatever their kind, when every place takes only so many.

        Parameters
        ----------
        number : int
            Number of weights.

        Returns
        -------
        ndarray
            Longest first [m], shape (number,); shorter where the places do not take so many.
        """
        room = np.minimum(self.spots.units, number).astype(int)
        return np.asarray(np.sort(np.repeat(self.longest.max(axis=0) * self.spots.step_m, room))[::-1][:number])

    def steps(self, kind: int, spot: int) -> Indices:
        """Lengths of shift, in steps, that the crane allows for a kind at a place.

        Parameters
        ----------
        kind, spot : int
            Numbers of the kind and of the place.

        Returns
        -------
        ndarray of int
            Rising; empty where the weight may not stand.
        """
        if self.longest[kind, spot] == 0:
            return np.array([], dtype=np.intp)
        allowed = self.spots.lift_limit_t[spot] >= self.kinds.mass_t[kind] * (1.0 - TOLERANCE)
        return np.asarray(np.flatnonzero(allowed) + 1)

    def over_places(self, values: Array, largest: bool) -> Array:
        """Largest or least of a value of the places, over those where a kind may stand.

        Parameters
        ----------
        values : ndarray
            One for each place, shape (s,).
        largest : bool
            Which.

        Returns
        -------
        ndarray
            Shape (k,); not finite where a kind may stand nowhere.
        """
        filler = -math.inf if largest else math.inf
        allowed = np.where(self.longest > 0, values[None, :], filler)
        return np.asarray(allowed.max(axis=1) if largest else allowed.min(axis=1))
