"""A choice worked out state by state: where every weight stands, the moments and the heels over the range of GM."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.heel_model import Afloat, Loading
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.precision import Design, spread
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.search import Choice
from heelwright_service.core.planning.template import LETTERS, Template, moments
from heelwright_service.core.record import Position

Array = NDArray[np.float64]

DIGITS = 9
"""Decimals of a place [m]: sums of steps are written without the noise of their binary form."""


@dataclass(frozen=True, eq=False)
class Outcome:
    """What a choice of weights, places and shifts leads to.

    Parameters
    ----------
    request : PlanRequest
        The request.
    ship : Ship
        The ship.
    choice : Choice
        The choice.
    """

    request: PlanRequest
    ship: Ship
    choice: Choice

    @property
    def which(self) -> Template:
        """The sequence of moves."""
        return self.choice.which

    @cached_property
    def masses_t(self) -> tuple[float, ...]:
        """Mass of each weight [t], A first."""
        if self.request.weight_step_t is not None:
            return tuple(round(self.request.weight_step_t * (kind + 1), DIGITS) for kind in self.choice.kinds)
        return tuple(self.request.stock[kind].mass_t for kind in self.choice.kinds)

    @cached_property
    def shifts_m(self) -> tuple[float, ...]:
        """Shift of each weight [m]."""
        return tuple(round(self.request.shift_step_m * steps, DIGITS) for steps in self.choice.steps)

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """What each weight is called: by the stock where it has a name, else by its part in the sequence."""
        names: list[str] = []
        taken = {unit.id for unit in self.request.stock if unit.id is not None}
        for letter, kind in zip(LETTERS, self.choice.kinds, strict=False):
            unit = self.request.stock[kind] if self.request.stock else None
            if unit is None or unit.id is None:
                names.append(f"weight-{letter}" if letter in taken else letter)
            elif unit.count == 1:
                names.append(unit.id)
            else:
                number = 1 + sum(k == kind for k in self.choice.kinds[: len(names)])
                names.append(f"{unit.id}-{number}")
        return tuple(names)

    def place(self, weight: int, across: bool) -> Position:
        """Where a weight stands.

        Parameters
        ----------
        weight : int
            Which, A is 0.
        across : bool
            Whether it has been moved from its home.

        Returns
        -------
        tuple of float
            x, y, z [m].
        """
        position = self.request.positions[self.choice.spots[weight]]
        middle = 0.5 * (position.y_port_m + position.y_starboard_m)
        to_starboard = (weight % 2 == 0) == across
        half = 0.5 * self.shifts_m[weight]
        y = middle + half if to_starboard else middle - half
        return (position.x_m, round(y, DIGITS), position.z_m)

    @cached_property
    def moments_t_m(self) -> Array:
        """Change of moment of every state from the initial one [t·m]."""
        across = tuple(mass * shift for mass, shift in zip(self.masses_t, self.shifts_m, strict=True))
        return np.array(moments(self.which, across))

    @cached_property
    def loading(self) -> Loading:
        """The weights aboard."""
        homes = [self.place(w, across=False) for w in range(self.which.count)]
        x, _, z = (sum(m * home[i] for m, home in zip(self.masses_t, homes, strict=True)) for i in range(3))
        return Loading(sum(self.masses_t), x, z)

    def _moments_with_list_t_m(self, gm_m: float) -> Array:
        """Moment of every state about the centreline, the ship's own included, for one GM [t·m]."""
        tangent = math.tan(math.radians(self.request.initial_heel_deg))
        excess = float(self.ship.model.excess_t_m(tangent))
        home = float(sum(m * self.place(w, across=False)[1] for w, m in enumerate(self.masses_t)))
        own = self.request.displacement_t * gm_m * tangent + excess + home
        moment: Array = self.moments_t_m + own
        return moment

    @cached_property
    def _ends(self) -> tuple[Afloat, ...]:
        """How the ship lies in every state at the lower end of GM, its estimate and its upper end."""
        low, high = self.request.gm_range_m
        values = (low, self.request.gm_m, high)
        moments = np.concatenate([self._moments_with_list_t_m(gm) for gm in values])
        states = len(self.moments_t_m)
        found = self.ship.model.afloat(moments, np.repeat(values, states), self.loading)
        return tuple(found.part(slice(n * states, (n + 1) * states)) for n in range(len(values)))

    @property
    def soft(self) -> Array:
        """Tangents at the lower end of GM."""
        return self._ends[0].heel

    @property
    def expected(self) -> Array:
        """Tangents at the estimate of GM."""
        return self._ends[1].heel

    @property
    def stiff(self) -> Array:
        """Tangents at the upper end of GM."""
        return self._ends[2].heel

    @cached_property
    def trim_slope(self) -> float | None:
        """Slope of the trim that the weights give, the largest of all states, by the stern positive; None if unknown.

        Without the weights the ship is taken to lie on an even keel.
        """
        trims = [end.trim for end in self._ends if end.trim is not None]
        return None if not trims else float(max(np.concatenate(trims), key=abs))

    @cached_property
    def freeboard_m(self) -> float | None:
        """Least height of the deck edge above the water over all states and the range of GM [m]; None if unknown."""
        found = [end.freeboard_m.min() for end in self._ends if end.freeboard_m is not None]
        return float(min(found)) if found else None

    @cached_property
    def stiffness_t_m(self) -> float:
        """Displacement times GM with the weights aboard, at the estimate of GM [t·m]."""
        gain = float(self.ship.model.gain_t_m(self.loading.mass_t, self.loading.moment_x_t_m))
        return self.ship.expected_t_m - self.loading.moment_z_t_m + gain

    @property
    def design(self) -> Design:
        """What the expected uncertainty depends on."""
        squares = [sum(m * m for m in self.masses_t[first::2]) for first in (0, 1)]
        return Design(
            self.request.displacement_t + self.loading.mass_t,
            self.stiffness_t_m,
            spread(self.which, self.choice.plus_t_m, self.choice.minus_t_m),
            math.sqrt(max(squares)),
        )

    def change_deg(self, tangents: Array) -> Array:
        """Change of heel of every state from the initial one, as the angle of the change of tangent [deg].

        Parameters
        ----------
        tangents : ndarray
            Tangents of all states.

        Returns
        -------
        ndarray
            To starboard positive.
        """
        change: Array = np.degrees(np.arctan(tangents - tangents[0]))
        return change

    def sides_deg(self, tangents: Array) -> tuple[float, float]:
        """Largest change of heel to starboard and to port, without sign [deg].

        Parameters
        ----------
        tangents : ndarray
            Tangents of all states.

        Returns
        -------
        tuple of float
            To starboard, to port.
        """
        change = self.change_deg(tangents)
        return float(change.max()), float(-change.min())

    @cached_property
    def least_change_deg(self) -> float:
        """Least change of heel that the band has to hold for, at the upper end of GM [deg]."""
        if self.request.band_applies_to == "maximum":
            return min(self.sides_deg(self.stiff))
        nonzero = [i for i, state in enumerate(self.which.states) if state]
        return float(np.abs(self.change_deg(self.stiff)[nonzero]).min())

    @cached_property
    def most_change_deg(self) -> float:
        """Largest change of heel, at the lower end of GM [deg]."""
        return max(self.sides_deg(self.soft))

    @cached_property
    def list_deg(self) -> float:
        """Largest list of the initial state over the range of GM, without sign [deg]."""
        return float(np.degrees(np.arctan(max(abs(self.soft[0]), abs(self.stiff[0])))))

    @cached_property
    def heel_deg(self) -> float:
        """Largest heel over all states and the range of GM, without sign [deg]."""
        return float(np.degrees(np.arctan(max(np.abs(self.soft).max(), np.abs(self.stiff).max()))))

    @cached_property
    def deck_edge_deg(self) -> float:
        """Heel at which the deck edge meets the water [deg]."""
        return float(np.degrees(np.arctan(self.ship.deck_edge_tangent(self.loading.mass_t))))

    def excess_deg(self, limits: Limits) -> dict[str, float]:
        """By how much each angle is beyond its limit.

        Parameters
        ----------
        limits : Limits
            The limits.

        Returns
        -------
        dict
            Degrees, negative within the limit: ``low``, ``high``, ``list``, ``heel``, ``deck-edge``, ``deflection``,
            ``trim``.
        """
        deflection = math.degrees(math.atan(limits.deflection_tangent))
        return {
            "low": limits.low_deg - self.least_change_deg,
            "high": self.most_change_deg - limits.high_deg,
            "list": self.list_deg - limits.list_deg,
            "heel": self.heel_deg - limits.heel_deg,
            "deck-edge": self._deck_edge_excess_deg,
            "deflection": deflection - min(self.sides_deg(self.stiff)),
            "trim": math.degrees(math.atan(abs(self.trim_slope or 0.0)) - math.atan(limits.trim_slope)),
        }

    @property
    def _deck_edge_excess_deg(self) -> float:
        """By how much the deck edge is under: by its floated height where that is known, else by the largest heel."""
        if self.freeboard_m is None:
            return self.heel_deg - self.deck_edge_deg
        return -math.degrees(math.atan(self.freeboard_m / self.ship.half_breadth_m))
