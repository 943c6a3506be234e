"""What precision of GM and KG to expect from a plan, before any reading is taken.

First model, of the slope alone: the standard uncertainty of the line's slope from the readings' and the weights'
placing, then what all readings share. With S the sum of squares of the states' moments about their mean and P the
stiffness (displacement times GM),

    (u_GM/GM)² = (s²·P² + v²)/S + u_mass² + u_length² + u_displacement²,      u_KG² = u_GM² + u_KM²

where s is the standard uncertainty of a tangent by all instruments together and v that of a state's moment from
placing the weights. (Slope of a straight line: standard text-book result; combination: JCGM 100:2008, 5.1.2; expanded
with k = 2, 6.2.1.) The spread S is taken as the least there can be for the largest moments of the two sides, every
state between halfway: with parts a, b (and c) of the largest moment M the states in between have a² + (M − a)² + …,
least for a = M/2, while the sum of all moments does not depend on the parts. So the uncertainty is not understated.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.request import PlanInstrument, PlanRequest
from heelwright_service.core.planning.template import Template
from heelwright_service.core.standard_uncertainties import DEFAULTS

Array = NDArray[np.float64]
Values = Array | float

COVERAGE = 2.0
INCLINOMETER_RESOLUTION_DEG = 0.01
READING_RESOLUTION_MM = 1.0
DRAUGHT_READINGS = 6
"""Draught marks forward, midships and aft on both sides."""


@dataclass(frozen=True)
class Design:
    """What the expected uncertainty depends on; numbers or arrays of one shape.

    Parameters
    ----------
    displacement_t : float or ndarray
        With the weights aboard [t].
    stiffness_t_m : float or ndarray
        Displacement times GM with the weights aboard [t·m].
    spread_t2_m2 : float or ndarray
        Least sum of squares of the states' moments about their mean [t²·m²].
    side_mass_t : float or ndarray
        Root of the sum of squares of the masses of one side, the greater of the two sides [t].
    """

    displacement_t: Values
    stiffness_t_m: Values
    spread_t2_m2: Values
    side_mass_t: Values


class UncertaintyModel(Protocol):
    """Expected expanded (95 %) uncertainty of GM and KG.

    For the search to be exact the uncertainty of GM must not fall when the stiffness rises, and must not rise when the
    spread of the moments does, everything else unchanged.
    """

    def gm_m(self, design: Design) -> Array:
        """Expanded uncertainty of GM as inclined [m], of the design's shape."""

    def kg_m(self, design: Design) -> Array:
        """Expanded uncertainty of KG as inclined [m], of the design's shape."""


@dataclass(frozen=True)
class SlopeUncertainty:
    """The model of the module's head.

    Parameters
    ----------
    tangent : float
        Standard uncertainty of a tangent by all instruments together.
    placing_m : float
        Standard uncertainty of a shift [m].
    common_relative : float
        Relative standard uncertainty that all states share: weights off one scale, lengths, displacement.
    km_m : float
        Standard uncertainty of KM [m].
    """

    tangent: float
    placing_m: float
    common_relative: float
    km_m: float

    @classmethod
    def of(cls, request: PlanRequest) -> SlopeUncertainty:
        """Take the office's standard uncertainties for the instruments of a request.

        Parameters
        ----------
        request : PlanRequest
            The request; its instruments and draught are used.

        Returns
        -------
        SlopeUncertainty
            The model.
        """
        readings = np.array([tangent_uncertainty(each) for each in request.instruments])
        shares = readings**-2 / np.sum(readings**-2)
        lengths = np.array([_length_relative(each) for each in request.instruments])
        length = float(np.sqrt(np.sum((shares * lengths) ** 2)))
        draught = DEFAULTS["draught_m"].value / np.sqrt(DRAUGHT_READINGS) / request.draught_m
        volume = DEFAULTS["hull_volume_relative"].value
        density = DEFAULTS["density_t_per_m3"].value / 1.025
        mass = DEFAULTS["weight_mass_relative"].value
        return cls(
            float(np.sum(readings**-2) ** -0.5),
            float(np.sqrt(2.0) * DEFAULTS["weight_position_m"].value),
            float(np.sqrt(mass**2 + length**2 + draught**2 + volume**2 + density**2)),
            DEFAULTS["km_m"].value,
        )

    def gm_m(self, design: Design) -> Array:
        """Expanded uncertainty of GM [m].

        Parameters
        ----------
        design : Design
            The design.

        Returns
        -------
        ndarray
            Of the design's shape.
        """
        stiffness = np.asarray(design.stiffness_t_m, float)
        scatter = (self.tangent * stiffness) ** 2 + (self.placing_m * np.asarray(design.side_mass_t)) ** 2
        relative = np.sqrt(scatter / np.asarray(design.spread_t2_m2) + self.common_relative**2)
        return np.asarray(COVERAGE * stiffness / np.asarray(design.displacement_t) * relative)

    def kg_m(self, design: Design) -> Array:
        """Expanded uncertainty of KG [m].

        Parameters
        ----------
        design : Design
            The design.

        Returns
        -------
        ndarray
            Of the design's shape.
        """
        return np.asarray(np.hypot(self.gm_m(design), COVERAGE * self.km_m))


def tangent_uncertainty(instrument: PlanInstrument) -> float:
    """Standard uncertainty of one tangent read with an instrument.

    Parameters
    ----------
    instrument : PlanInstrument
        The instrument; its resolution counts as a rectangle of that full width.

    Returns
    -------
    float
        Standard uncertainty of the tangent.

    Examples
    --------
    >>> round(tangent_uncertainty(PlanInstrument("P1", "pendulum", 4.0, resolution_mm=1.0)), 6)
    0.00026
    """
    if instrument.kind == "inclinometer" or instrument.length_m is None:
        resolution = instrument.resolution_deg or INCLINOMETER_RESOLUTION_DEG
        return float(np.radians(np.hypot(resolution / np.sqrt(12.0), DEFAULTS["reading_deg"].value)))
    resolution = 1e-3 * (instrument.resolution_mm or READING_RESOLUTION_MM)
    return float(np.hypot(resolution / np.sqrt(12.0), DEFAULTS["reading_m"].value)) / instrument.length_m


def _length_relative(instrument: PlanInstrument) -> float:
    return 0.0 if instrument.length_m is None else DEFAULTS["pendulum_length_m"].value / instrument.length_m


def spread(which: Template, to_starboard_t_m: Values, to_port_t_m: Values) -> Array:
    """Least sum of squares of the states' moments about their mean, for the largest moment to each side.

    Parameters
    ----------
    which : Template
        The sequence of moves.
    to_starboard_t_m, to_port_t_m : float or ndarray
        Largest moment to each side, without sign [t·m].

    Returns
    -------
    ndarray
        S [t²·m²], of the broadcast shape.

    Examples
    --------
    >>> from heelwright_service.core.planning.template import template
    >>> float(spread(template(4), 60.0, 60.0))
    10800.0
    """
    plus, minus = np.asarray(to_starboard_t_m, float), np.asarray(to_port_t_m, float)
    shares = [1.0 if len(state) == which.per_side else 0.5 for state in which.states if any(w % 2 == 0 for w in state)]
    square, total = sum(share**2 for share in shares), sum(shares)
    return np.asarray(square * (plus**2 + minus**2) - (total * (plus - minus)) ** 2 / len(which.states))
