"""What the checks look at: the prepared record and its nominal outcome, with the figures that several checks share."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.arms import HullSource
from heelwright_service.core.chain import Lightship, Outcome
from heelwright_service.core.checks.own_rules import OWN_RULES
from heelwright_service.core.checks.verdicts import Side
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.planes import Planes
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.record import TestRecord
from heelwright_service.core.results import Check
from heelwright_service.core.rules import TestRule, conduct_rule

Array = NDArray[np.float64]

BEST_FIRST = ("heeled-equilibrium", "small-angle", "lightweight-survey")

__all__ = ["BEST_FIRST", "CheckInput", "Judgement", "Side"]


@dataclass(frozen=True)
class Judgement:
    """All checks of a reduction, and its cautions with the unsafe side first."""

    checks: list[Check]
    cautions: list[str]


@dataclass(frozen=True)
class CheckInput:
    """A reduction to be judged.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.
    outcome : Outcome
        Its nominal outcome; the axis of draws has length 1.
    uncertainty_kg_95_m : float or None
        Half width of the 95 % interval of KG [m], where it was computed.
    hull : Hull or None
        The lofted hull form, where it is given.
    table : HydrostaticTable or None
        The hydrostatic table, where it served instead.
    """

    test: PreparedTest
    outcome: Outcome
    uncertainty_kg_95_m: float | None
    hull: Hull | None
    table: HydrostaticTable | None

    @property
    def record(self) -> TestRecord:
        """The record as given."""
        return self.test.record

    @property
    def length_m(self) -> float:
        """Length between perpendiculars [m]."""
        return self.record.vessel.length_bp_m

    @property
    def is_survey(self) -> bool:
        """Whether the record is a lightweight survey, without inclining."""
        return self.test.movements is None

    def rule(self, rule_id: str) -> TestRule:
        """Find a rule in the rule set of the record.

        Parameters
        ----------
        rule_id : str
            Its identifier.

        Returns
        -------
        TestRule
            The rule with its figures.
        """
        return OWN_RULES.get(rule_id) or conduct_rule(rule_id, self.record.test.rule_set)

    @property
    def displacement_t(self) -> float:
        """Displacement as inclined [t]."""
        return float(self.outcome.displacement_t[0])

    @property
    def best_method(self) -> str:
        """The method of the best estimate among those computed."""
        return next(name for name in BEST_FIRST if name in self.outcome.lightship)

    @property
    def lightship(self) -> Lightship:
        """The lightship by the best method."""
        return self.outcome.lightship[self.best_method]

    @property
    def gm_fluid_m(self) -> float | None:
        """GM as measured, free surfaces at work, by the best method [m]."""
        fit = self.outcome.heeled or self.outcome.small_angle
        return None if fit is None else float(fit.gm_fluid_m[0])

    @property
    def kg_m(self) -> float | None:
        """KG as inclined, liquids level, by the best method [m]."""
        fit = self.outcome.heeled or self.outcome.small_angle
        return None if fit is None else float(fit.kg_m[0])

    @property
    def knows_list(self) -> bool:
        """Whether the list is known from the waterline or from instruments that show the upright ship."""
        tangents = self.test.tangents
        upright = tangents is not None and not tangents.from_zero_mark.all()
        return self.test.fit.determined[2] or upright

    @cached_property
    def initial_tangent(self) -> float:
        """Tangent of the list in the initial state, positive to starboard."""
        outcome = self.outcome
        if outcome.heeled is not None:
            return float(outcome.heeled.state_tangents[0, 0])
        small = outcome.small_angle
        if not self.test.fits_list_from_readings or small is None:
            return float(outcome.planes.slope_y[0])
        lever = small.kg_m[0] + outcome.free_surface_t_m[0] / outcome.displacement_t[0] - outcome.floating.vcb_m[0]
        return float((outcome.floating.tcb_m[0] - small.tcg_m[0]) / lever)

    @cached_property
    def state_moments_t_m(self) -> Array:
        """Inclining moments of the states, as changes from the initial one [t·m], shape (k,)."""
        return self.weight_moments_t_m(axis=1)

    def weight_moments_t_m(self, axis: int) -> Array:
        """Moments of the weights along one axis in every state, as changes from the initial one.

        Parameters
        ----------
        axis : int
            0, 1 or 2 for x, y or z.

        Returns
        -------
        ndarray
            Moments [t·m], shape (k,); empty for a survey.
        """
        moved = self.test.movements
        if moved is None:
            return np.zeros(0)
        return np.asarray(moved.moments_t_m(moved.masses_t[None], np.zeros((1, len(moved.spot_m))), axis)[0])

    @cached_property
    def state_tangents(self) -> Array:
        """Tangents of the heel in every state, list included, shape (k,); of a survey, its list alone."""
        outcome = self.outcome
        if outcome.heeled is not None:
            return np.asarray(outcome.heeled.state_tangents[0])
        if outcome.small_angle is None:
            return np.array([self.initial_tangent])
        return np.asarray(self.initial_tangent + float(outcome.small_angle.slope[0]) * self.state_moments_t_m)

    @property
    def heel_changes_deg(self) -> Array:
        """Heels of the states against the initial one [deg], shape (k,)."""
        heels = np.degrees(np.arctan(self.state_tangents))
        return np.asarray(heels - heels[0])

    @cached_property
    def source(self) -> HullSource | None:
        """The hull form as a source of hydrostatics, trimming about the measured KG."""
        return None if self.hull is None else HullSource(self.hull, self.kg_m or 0.0)

    @cached_property
    def state_planes(self) -> Planes | None:
        """Water surfaces of all states on the hull form, None without one or where she does not float so heeled."""
        if self.source is None:
            return None
        if self.is_survey:
            return self.outcome.planes
        try:
            return self.source.heeled(self.outcome.floating, self.outcome.planes, self.state_tangents[None])[0]
        except CoreError:
            return None

    @property
    def depth_m(self) -> float | None:
        """Moulded depth [m]: stated, else of the hull form."""
        if self.record.vessel.depth_m is not None:
            return self.record.vessel.depth_m
        return None if self.hull is None else self.hull.depth_limits_m[1] - self.hull.depth_limits_m[0]

    @property
    def breadth_m(self) -> float | None:
        """Moulded breadth [m]: stated, else of the deck edge."""
        if self.record.vessel.breadth_m is not None:
            return self.record.vessel.breadth_m
        return None if self.hull is None else float(2.0 * np.abs(self.hull.deck_edge_m[:, 1]).max())

    @property
    def height_standards_m(self) -> Array:
        """Standard uncertainties of the draughts and freeboards [m], shape (m,)."""
        return self.test.heights_standard_m
