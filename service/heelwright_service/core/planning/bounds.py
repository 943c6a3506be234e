"""What no plan within a family can beat: necessary conditions and the least expected uncertainty, from ranges alone.

A family is a set of plans of which only the ranges of stiffness, reach and list are known. When the ranges are single
values and the shifts continuous the conditions are those of the plan itself; so nothing that is ruled out here could
have been feasible, and nothing beats the uncertainty given here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.heel_model import HeelModel
from heelwright_service.core.planning.limits import TOLERANCE, Limits
from heelwright_service.core.planning.precision import Design, UncertaintyModel, Values, spread
from heelwright_service.core.planning.template import Template
from heelwright_service.core.planning.work import PAIR_WORK, spend

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

HALVINGS = 36
PARTS = 12
WORTH_PARTING = 64
"""Fewer families than this are sooner looked into than parted."""


@dataclass(frozen=True)
class Ship:
    """The ship without the weights as the search sees her.

    Parameters
    ----------
    displacement_t : float
        Displacement [t].
    soft_t_m, expected_t_m, stiff_t_m : float
        Displacement times GM at the lower end, the estimate and the upper end of GM [t·m].
    listing_t_m : tuple of float
        Moment that gives the ship her initial heel, at the lower and the upper end of GM [t·m].
    half_breadth_m, freeboard_m : float
        To the deck edge [m].
    model : HeelModel
        Moment against heel.
    precision : UncertaintyModel
        Expected uncertainty.
    """

    displacement_t: float
    soft_t_m: float
    expected_t_m: float
    stiff_t_m: float
    listing_t_m: tuple[float, float]
    half_breadth_m: float
    freeboard_m: float
    model: HeelModel
    precision: UncertaintyModel

    def deck_edge_tangent(self, mass_t: Values) -> Array:
        """Tangent of heel at which the deck edge meets the water.

        Parameters
        ----------
        mass_t : float or ndarray
            Mass of the weights [t].

        Returns
        -------
        ndarray
            (depth − draught − sinkage)/(breadth/2), of the same shape.
        """
        return np.asarray((self.freeboard_m - self.model.sinkage_m(mass_t)) / self.half_breadth_m)

    def gm_uncertainty_m(self, which: Template, mass_t: Values, stiffness_t_m: Values, plus: Values, minus: Values,
                         side_mass_t: Values) -> Array:  # fmt: skip
        """Expected expanded uncertainty of GM.

        Parameters
        ----------
        which : Template
            Sequence of moves.
        mass_t, stiffness_t_m : float or ndarray
            Mass of the weights [t]; stiffness with them aboard [t·m].
        plus, minus : float or ndarray
            Largest moment to starboard and to port, without sign [t·m].
        side_mass_t : float or ndarray
            Root of the sum of squares of the masses of one side [t].

        Returns
        -------
        ndarray
            Uncertainty [m].
        """
        displacement = np.asarray(mass_t) + self.displacement_t
        return self.precision.gm_m(Design(displacement, stiffness_t_m, spread(which, plus, minus), side_mass_t))


@dataclass(frozen=True)
class Families:
    """Ranges of many families of plans; arrays of shape (n,).

    Parameters
    ----------
    mass_t, side_mass_t : ndarray
        Mass of all weights, and root of the sum of squares of those of one side [t].
    fall_low_t_m, fall_high_t_m : ndarray
        By how much the weights lower the stiffness: Σ w·z − B [t·m].
    middle_low_t_m, middle_high_t_m : ndarray
        Moment of the middles of the shifts about the centreline [t·m].
    plus_t_m, minus_t_m, both_t_m : ndarray
        Largest moment to starboard, to port, and the sum of the two [t·m].
    alone_t_m : ndarray
        Largest of the least moment of a weight that stands across alone [t·m].
    """

    mass_t: Array
    side_mass_t: Array
    fall_low_t_m: Array
    fall_high_t_m: Array
    middle_low_t_m: Array
    middle_high_t_m: Array
    plus_t_m: Array
    minus_t_m: Array
    both_t_m: Array
    alone_t_m: Array

    def part(self, chosen: Mask | NDArray[np.intp]) -> Families:
        """Some of the families.

        Parameters
        ----------
        chosen : ndarray
            Which.

        Returns
        -------
        Families
            Those.
        """
        return Families(*(getattr(self, each.name)[chosen] for each in fields(self)))


def possible(families: Families, ship: Ship, limits: Limits, widened_deg: Array | None = None) -> Mask:
    """Whether a family may hold a plan within the limits.

    Parameters
    ----------
    families : Families
        Families, shape (n,).
    ship : Ship
        The ship.
    limits : Limits
        The limits; their target is not looked at.
    widened_deg : ndarray, optional
        Widening of each family [deg] in place of the limits' own.

    Returns
    -------
    ndarray of bool
        False is certain, True is not.
    """
    view = _Angles.of(limits, widened_deg)
    return _Reach(families, ship, limits, view).possible()


def possible_in_parts(families: Families, ship: Ship, limits: Limits) -> Mask:
    """The same as `possible`, sharper: the range of stiffness is looked at in parts, one of which must hold the plan.

    Parameters
    ----------
    families : Families
        Families, shape (n,).
    ship : Ship
        The ship.
    limits : Limits
        The limits; their target is not looked at.

    Returns
    -------
    ndarray of bool
        False is certain, True is not.
    """
    found = possible(families, ship, limits)
    kept = np.flatnonzero(found)
    if len(kept) < WORTH_PARTING:
        return found
    some = families.part(kept)
    part = (some.fall_high_t_m - some.fall_low_t_m) / PARTS
    held = np.zeros(len(kept), dtype=bool)
    for i in range(PARTS):
        low = some.fall_low_t_m + i * part
        held |= possible(replace(some, fall_low_t_m=low, fall_high_t_m=low + part), ship, limits)
    found[kept] = held
    return found


@dataclass(frozen=True)
class _Angles:
    """The limits' tangents, one for all families or one for each."""

    low: Values
    least: Values
    high: Values
    list: Values
    widened_rad: Values

    @classmethod
    def of(cls, limits: Limits, widened_deg: Array | None) -> _Angles:
        wide = np.asarray(limits.widened_deg if widened_deg is None else widened_deg, float)
        low = np.tan(np.radians(np.maximum(limits.low_deg - wide, 0.0)))
        high, listed = (np.tan(np.radians(angle + wide)) for angle in (limits.high_deg, limits.list_deg))
        return cls(low, np.maximum(low, limits.deflection_tangent), high, listed, np.radians(wide))


@dataclass(frozen=True)
class _Reach:
    """The necessary conditions one by one."""

    of: Families
    ship: Ship
    limits: Limits
    view: _Angles

    def possible(self) -> Mask:
        ship, of = self.ship, self.of
        floating = ship.soft_t_m - of.fall_low_t_m > 0.0
        if math.isfinite(self.limits.gm_m):
            least = self.limits.gm_m * (ship.displacement_t + of.mass_t) * (1.0 - TOLERANCE)
            floating &= ship.expected_t_m - of.fall_low_t_m >= least
        return np.asarray(floating & self._reached() & self._window_open() & self._list_held() & self._heel_held())

    def _moment(self, stiffness: Array, tangent: Values) -> Array:
        return np.asarray(stiffness * tangent + self.ship.model.excess_t_m(tangent))

    def _least(self) -> Array:
        """Least moment that the largest state of a side may have."""
        return self._moment(self.ship.stiff_t_m - self.of.fall_high_t_m, self.view.least)

    def _most(self) -> Array:
        """Largest moment that the largest state of a side may have."""
        return self._moment(self.ship.soft_t_m - self.of.fall_low_t_m, self.view.high)

    def _reached(self) -> Mask:
        of = self.of
        reach = np.minimum(np.minimum(of.plus_t_m, of.minus_t_m), 0.5 * of.both_t_m) * (1.0 + TOLERANCE)
        enough = reach >= self._least() * (1.0 - TOLERANCE)
        if self.limits.every:
            floor = self._moment(self.ship.stiff_t_m - of.fall_high_t_m, self.view.low)
            enough &= of.alone_t_m * (1.0 + TOLERANCE) >= floor
        return np.asarray(enough)

    def _window_open(self) -> Mask:
        """Least and largest moment are linear in the fall of the stiffness: one of its ends decides."""
        open_at = [
            self._moment(self.ship.stiff_t_m - fall, self.view.least) * (1.0 - TOLERANCE)
            <= self._moment(self.ship.soft_t_m - fall, self.view.high) * (1.0 + TOLERANCE)
            for fall in (self.of.fall_low_t_m, self.of.fall_high_t_m)
        ]
        return np.asarray(open_at[0] | open_at[1])

    def _ends(self) -> tuple[tuple[Array, Array], ...]:
        """For both ends of GM: largest stiffness, and the moment of the ship and of the weights' middles."""
        ship = self.ship
        stiffness = (ship.soft_t_m - self.of.fall_low_t_m, ship.stiff_t_m - self.of.fall_low_t_m)
        return tuple((stiffness[end], np.asarray(ship.listing_t_m[end])) for end in (0, 1))

    def _list_held(self) -> Mask:
        of, least, most = self.of, np.maximum(self._least(), 0.0), self._most()
        most = np.minimum(most, of.both_t_m - least)
        port_only = 0.5 * (np.minimum(of.minus_t_m, most) - least)
        starboard_only = 0.5 * (np.minimum(of.plus_t_m, most) - least)
        held = np.ones(len(of.mass_t), dtype=bool)
        for stiffness, listing in self._ends():
            allowed = self._moment(stiffness, self.view.list) * (1.0 + TOLERANCE) + TOLERANCE * stiffness
            held &= listing + of.middle_low_t_m - starboard_only <= allowed
            held &= listing + of.middle_high_t_m + port_only >= -allowed
        return held

    def balanced(self, plus: Array, minus: Array) -> tuple[Array, Array]:
        """Largest moments of the two sides, lowered to what the list of the initial state lets them differ.

        Parameters
        ----------
        plus, minus : ndarray
            Largest moments to starboard and to port, without sign [t·m].

        Returns
        -------
        tuple of ndarray
            The same or less; the list stands at the ship's own moment, the middles' and half the difference.
        """
        of = self.of
        more_minus, more_plus = (np.full(len(plus), np.inf) for _ in range(2))
        for stiffness, listing in self._ends():
            allowed = self._moment(stiffness, self.view.list) * (1.0 + TOLERANCE) + TOLERANCE * stiffness
            more_minus = np.minimum(more_minus, 2.0 * (allowed - listing - of.middle_low_t_m))
            more_plus = np.minimum(more_plus, 2.0 * (allowed + listing + of.middle_high_t_m))
        least = 1e-12
        lowered = np.minimum(plus, minus + more_plus), np.minimum(minus, plus + more_minus)
        return np.maximum(lowered[0], least), np.maximum(lowered[1], least)

    def _heel_held(self) -> Mask:
        of, least = self.of, np.maximum(self._least(), 0.0)
        own = np.minimum(np.radians(self.limits.heel_deg), np.arctan(self.ship.deck_edge_tangent(of.mass_t)))
        tangent = np.tan(own + self.view.widened_rad)
        held = np.ones(len(of.mass_t), dtype=bool)
        for stiffness, listing in self._ends():
            low, high = listing + of.middle_low_t_m, listing + of.middle_high_t_m
            nearest = np.where((low <= 0.0) & (high >= 0.0), 0.0, np.minimum(np.abs(low), np.abs(high)))
            held &= nearest + least <= self._moment(stiffness, tangent) * (1.0 + TOLERANCE) + TOLERANCE * stiffness
        return held


def finest_m(families: Families, which: Template, ship: Ship, limits: Limits) -> Array:
    """Least expected uncertainty of GM that a family may reach.

    Parameters
    ----------
    families : Families
        Families, shape (n,).
    which : Template
        Sequence of moves.
    ship : Ship
        The ship.
    limits : Limits
        The limits.

    Returns
    -------
    ndarray
        Lower bound [m]: least stiffness, largest moments, of two sides that the list lets differ only so much.
    """
    most = (ship.soft_t_m - families.fall_low_t_m) * limits.high_tangent + ship.model.excess_t_m(limits.high_tangent)
    most = np.maximum(most * (1.0 + TOLERANCE), 1e-12)
    reach = _Reach(families, ship, limits, _Angles.of(limits, None))
    plus, minus = reach.balanced(np.minimum(families.plus_t_m, most), np.minimum(families.minus_t_m, most))
    stiffness = np.maximum(ship.expected_t_m - families.fall_high_t_m, 1e-12)
    return ship.gm_uncertainty_m(which, families.mass_t, stiffness, plus, minus, families.side_mass_t)


def least_widening_deg(families: Families, ship: Ship, limits: Limits, most_deg: float) -> Array:
    """Least widening of the angles at which a family may hold a plan.

    Parameters
    ----------
    families : Families
        Families, shape (n,).
    ship : Ship
        The ship.
    limits : Limits
        The limits, of angles only.
    most_deg : float
        Largest widening of interest [deg].

    Returns
    -------
    ndarray
        Lower bound [deg]; infinite where even the largest does not help.
    """
    found = np.full(len(families.mass_t), np.inf)
    hopeful = np.flatnonzero(possible(families, ship, limits, np.full(len(found), most_deg)))
    some = families.part(hopeful)
    low, high = np.zeros(len(hopeful)), np.full(len(hopeful), most_deg)
    spend(PAIR_WORK * len(hopeful))
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        held = possible(some, ship, limits, middle)
        low, high = np.where(held, low, middle), np.where(held, middle, high)
    found[hopeful] = low
    return found
