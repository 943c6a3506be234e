"""The exact conditions on the largest moments of the two sides, once weights and places are chosen.

With p and n the largest moments to starboard and to port (without sign), Y the moment of the middles of the shifts and
K the ship's own, the initial list stands at K + Y + (n − p)/2 and the largest heel to either side at
|K + Y| + (p + n)/2: a weight that goes to and fro about its middle changes its side by half its shift each way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.limits import TOLERANCE, Limits
from heelwright_service.core.planning.precision import spread
from heelwright_service.core.planning.template import Template
from heelwright_service.core.planning.totals import SideTotals


@dataclass(frozen=True)
class Window:
    """Limits on the largest moments [t·m].

    Parameters
    ----------
    least, most : float
        Of the largest moment of each side.
    floor : float
        Of the moment of a weight that stands across alone.
    difference_low, difference_high : float
        Of half the largest moment to port less half that to starboard.
    sum_high : float
        Of the two largest moments together.
    """

    least: float
    most: float
    floor: float
    difference_low: float
    difference_high: float
    sum_high: float

    @classmethod
    def of(cls, ship: Ship, limits: Limits, mass_t: float, fall_t_m: float, middle_t_m: float) -> Window:
        """Work the limits out for weights and places.

        Parameters
        ----------
        ship : Ship
            The ship.
        limits : Limits
            The limits.
        mass_t : float
            Mass of all weights [t].
        fall_t_m : float
            By how much they lower the stiffness [t·m].
        middle_t_m : float
            Moment of the middles of the shifts about the centreline [t·m].

        Returns
        -------
        Window
            The limits on moments.
        """
        soft, stiff = ship.soft_t_m - fall_t_m, ship.stiff_t_m - fall_t_m
        heel = float(limits.heel_tangent(ship.deck_edge_tangent(mass_t)))

        def holding(stiffness: float, tangent: float) -> float:
            return stiffness * tangent + float(ship.model.excess_t_m(tangent))

        lists = [holding(each, limits.list_tangent) * (1.0 + TOLERANCE) for each in (soft, stiff)]
        heels = [holding(each, heel) * (1.0 + TOLERANCE) for each in (soft, stiff)]
        own = [each + middle_t_m for each in ship.listing_t_m]
        return cls(
            holding(stiff, limits.least_tangent),
            holding(soft, limits.high_tangent),
            holding(stiff, limits.low_tangent) if limits.every else 0.0,
            max(-allowed - moment for allowed, moment in zip(lists, own, strict=True)),
            min(allowed - moment for allowed, moment in zip(lists, own, strict=True)),
            2.0 * min(allowed - abs(moment) for allowed, moment in zip(heels, own, strict=True)),
        )

    def holds(self, plus: float, minus: float) -> bool:
        """Whether list and largest heel are within their limits.

        Parameters
        ----------
        plus, minus : float
            Largest moments to starboard and to port, without sign [t·m].

        Returns
        -------
        bool
            The band is not looked at.
        """
        return self.difference_low <= 0.5 * (minus - plus) <= self.difference_high and plus + minus <= self.sum_high

    def best(self, which: Template, plus: SideTotals, minus: SideTotals) -> tuple[float, float] | None:
        """Largest moments within the limits.

        Parameters
        ----------
        which : Template
            Sequence of moves.
        plus, minus : SideTotals
            The weights that go to starboard and those that go to port.

        Returns
        -------
        tuple of float or None
            The pair with the greatest spread [t·m], None where there is none.
        """
        largest = [side.largest(self.most, self.floor) for side in (plus, minus)]
        if any(each is None or each < self.least * (1.0 - TOLERANCE) for each in largest):
            return None
        pair = (float(largest[0] or 0.0), float(largest[1] or 0.0))
        return pair if self.holds(*pair) else self._best_coupled(which, plus, minus, pair)

    def _best_coupled(
        self, which: Template, plus: SideTotals, minus: SideTotals, largest: tuple[float, float]
    ) -> tuple[float, float] | None:
        """For every moment to starboard the largest to port that list and heel leave room for."""
        low, high, least = 2.0 * self.difference_low, 2.0 * self.difference_high, self.least
        most_plus = min(largest[0], largest[1] - low, self.sum_high - least)
        most_minus = min(largest[1], largest[0] + high, self.sum_high - least)
        starboard = plus.totals(max(least, least - high), most_plus, self.floor)[::-1]
        port = minus.totals(max(least, least + low), most_minus, self.floor)
        if len(starboard) == 0 or len(port) == 0:
            return None
        room = np.minimum(starboard + 2.0 * self.difference_high, self.sum_high - starboard)
        place = np.searchsorted(port, room, side="right") - 1
        found = np.where(place >= 0, port[place], -np.inf)
        held = found >= starboard + 2.0 * self.difference_low
        if not held.any():
            return None
        spreads = np.where(held, spread(which, starboard, np.where(held, found, 0.0)), -np.inf)
        first = int(np.flatnonzero(spreads >= spreads.max() * (1.0 - TOLERANCE))[0])
        return float(starboard[first]), float(found[first])
