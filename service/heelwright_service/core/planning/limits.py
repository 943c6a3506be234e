"""The limits that a plan has to keep, from the request and the rule set; and the same limits widened or dropped."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.request import PlanInstrument, PlanRequest
from heelwright_service.core.rules import conduct_rule

Array = NDArray[np.float64]

TOLERANCE = 1e-9
"""Relative: a value computed as exactly the limit keeps it."""


@dataclass(frozen=True)
class Limits:
    """Limits on moments and heels.

    Parameters
    ----------
    low_deg, high_deg : float
        Band of the change of heel [deg].
    every : bool
        Whether the band holds for every state that is not zero.
    list_deg : float
        Largest list of the initial state [deg].
    heel_deg : float
        Largest heel, list included [deg].
    deflection_tangent : float
        Least tangent that every instrument needs to each side; 0 when none does.
    target_m : float
        Largest expanded uncertainty of GM [m]; infinite when none is set.
    gm_m : float
        Least GM with the weights aboard [m].
    trim_slope : float
        Largest slope of the trim by the weights, without sign; infinite where it does not matter.
    widened_deg : float
        By how much the four angles are widened [deg].
    """

    low_deg: float
    high_deg: float
    every: bool
    list_deg: float
    heel_deg: float
    deflection_tangent: float
    target_m: float = math.inf
    gm_m: float = 0.0
    trim_slope: float = math.inf
    widened_deg: float = 0.0

    @classmethod
    def of(cls, request: PlanRequest) -> Limits:
        """Take the limits of a request and its rule set.

        Parameters
        ----------
        request : PlanRequest
            The request.

        Returns
        -------
        Limits
            The limits.

        Raises
        ------
        CoreError
            ``unknown-rule-set``.
        """
        low, high = request.heel_band_deg
        needs = [deflection_tangent(each, request.rule_set) for each in request.instruments]
        target = request.target_gm_uncertainty_m
        return cls(
            low,
            high,
            request.band_applies_to == "every",
            conduct_rule("P-18", request.rule_set)["maximum_deg"],
            conduct_rule("W-01")["maximum_deg"],
            max(needs, default=0.0),
            math.inf if target is None else target,
            conduct_rule("P-22", request.rule_set)["minimum_gm_m"],
            0.01 * conduct_rule("P-19", request.rule_set)["maximum_percent_of_lbp"],
        )

    def widened(self, degrees: float) -> Limits:
        """The same limits with the four angles widened; the others as they are."""
        return replace(self, widened_deg=degrees)

    def angles_only(self) -> Limits:
        """The same limits without those of deflection, of trim and of uncertainty."""
        return replace(self, deflection_tangent=0.0, trim_slope=math.inf, target_m=math.inf)

    def without_target(self) -> Limits:
        """The same limits without that of uncertainty."""
        return replace(self, target_m=math.inf)

    def without_gm(self) -> Limits:
        """The same limits without the least GM; stability stays positive."""
        return replace(self, gm_m=-math.inf)

    def without_trim(self) -> Limits:
        """The same limits without that of trim."""
        return replace(self, trim_slope=math.inf)

    @property
    def low_tangent(self) -> float:
        """Tangent of the band's lower end."""
        return math.tan(math.radians(max(self.low_deg - self.widened_deg, 0.0)))

    @property
    def high_tangent(self) -> float:
        """Tangent of the band's upper end."""
        return math.tan(math.radians(self.high_deg + self.widened_deg))

    @property
    def least_tangent(self) -> float:
        """Tangent that the largest state of each side needs at the upper end of GM: band and deflection."""
        return max(self.low_tangent, self.deflection_tangent)

    @property
    def list_tangent(self) -> float:
        """Tangent of the largest list."""
        return math.tan(math.radians(self.list_deg + self.widened_deg))

    def heel_tangent(self, deck_edge_tangent: Array) -> Array:
        """Tangent of the largest heel, below the deck edge.

        Parameters
        ----------
        deck_edge_tangent : ndarray
            Tangent of heel at which the deck edge meets the water.

        Returns
        -------
        ndarray
            Of the same shape.
        """
        own = np.minimum(math.radians(self.heel_deg), np.arctan(deck_edge_tangent))
        return np.asarray(np.tan(own + math.radians(self.widened_deg)))


def deflection_tangent(instrument: PlanInstrument, rule_set: str | None) -> float:
    """Tangent of heel at which an instrument shows the least deflection that the rules ask for.

    Parameters
    ----------
    instrument : PlanInstrument
        Pendulum (length), U-tube (spacing of its legs) or inclinometer (no such rule).
    rule_set : str or None
        Rule set, 150 mm by default.

    Returns
    -------
    float
        Least deflection over length; 0 for an inclinometer.

    Examples
    --------
    >>> deflection_tangent(PlanInstrument("P1", "pendulum", 4.0), None)
    0.0375
    """
    if instrument.kind == "inclinometer" or instrument.length_m is None:
        return 0.0
    return 1e-3 * least_deflection_mm(instrument, rule_set) / instrument.length_m


def least_deflection_mm(instrument: PlanInstrument, rule_set: str | None) -> float:
    """Least deflection to each side, or level difference of a U-tube, that the rules ask for [mm].

    Parameters
    ----------
    instrument : PlanInstrument
        The instrument.
    rule_set : str or None
        Rule set.

    Returns
    -------
    float
        The same figure for pendulum and U-tube where the rule set changes the pendulum's.
    """
    pendulum = conduct_rule("H-04", rule_set)["minimum_deflection_mm"]
    u_tube = conduct_rule("H-12", rule_set)["minimum_deflection_mm"]
    return pendulum if instrument.kind == "pendulum" else min(pendulum, u_tube)
