"""What the planner answers: the weights, the states in order, what to expect of them, and what was checked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from heelwright_service.core.record import Position
from heelwright_service.core.results import Check


@dataclass(frozen=True)
class Range:
    """An expected value and its ends over the range of GM."""

    expected: float
    low: float
    high: float


@dataclass(frozen=True)
class PlannedWeight:
    """One weight of the plan: its part in the sequence, home side, place on deck (1 is the first given) and shift."""

    id: str
    mass_t: float
    shift_distance_m: float
    role: str
    home: Literal["port", "starboard"]
    position: int


@dataclass(frozen=True)
class Lift:
    """One weight moved across the ship, from and to in ship axes [m]."""

    weight: str
    from_: Position
    to: Position


@dataclass(frozen=True)
class PlannedState:
    """One state of the test.

    Parameters
    ----------
    number : int
        0 is the initial state.
    positions : dict
        Centre of every weight [m].
    lift : Lift or None
        The lift that leads to it.
    moment_t_m : float
        Change of transverse moment from the initial state, positive to starboard [t·m].
    heel_deg : Range
        Heel to starboard, initial list included [deg]; `low` is the end further to port, `high` further to starboard.
    deflection_mm : dict
        Expected reading of each pendulum and U-tube as the change from the initial state, to starboard positive [mm].
    """

    number: int
    positions: dict[str, Position]
    lift: Lift | None
    moment_t_m: float
    heel_deg: Range
    deflection_mm: dict[str, float]


@dataclass(frozen=True)
class ExpectedUncertainty:
    """Expected expanded (95 %) uncertainty of GM and KG as inclined [m]."""

    gm_m: float
    kg_m: float


@dataclass(frozen=True)
class PlanSummary:
    """Another plan that was found, in short; its uncertainty is that by the search, as the plan's own there."""

    text: str
    weights_count: int
    masses_t: Sequence[float]
    total_mass_t: float
    lifts: int
    max_heel_deg: float
    expected_uncertainty: ExpectedUncertainty


@dataclass(frozen=True)
class WeightPlan:
    """A plan for the weights of an inclining test.

    Parameters
    ----------
    feasible : bool
        Whether it keeps every limit that was asked for; otherwise it is the nearest, or none at all: then weights,
        states and checks are empty, what follows from them is None, and `first_needed` is not.
    weights : sequence of PlannedWeight
        In the order of the sequence.
    total_mass_t : float or None
        Sum of their masses [t].
    states : sequence of PlannedState
        In order, the initial one first.
    max_heel_deg : Range or None
        Largest heel to either side, without sign: at the expected GM, its upper end (`low`) and lower end (`high`).
    expected_uncertainty : ExpectedUncertainty or None
        Before any reading is taken.
    search_uncertainty : ExpectedUncertainty or None
        The same by the simpler estimate that led the search, of the line's slope: comparable with those of
        `alternatives` and `nearest_plan`, and what the target was held against.
    lifts : int or None
        Number of lifts.
    duration_minutes : float or None
        Lifts and readings [min].
    checks : sequence of Check
        Every rule that was looked at.
    alternatives : sequence of PlanSummary
        Other plans worth a thought.
    binding_constraint : str or None
        What stands in the way of a feasible plan.
    cautions : sequence of str
        What was assumed and what to look out for.
    nearest_change : str or None
        The nearest change that makes a plan feasible, found by planning again with it.
    changes : sequence of str
        All such changes that were found, the nearest first.
    nearest_change_patch : dict or None
        The nearest change as a JSON Merge Patch (RFC 7396) to the request: with it a plan is feasible.
    nearest_plan : PlanSummary or None
        The plan that the nearest change gives.
    shown_after_change : bool
        Whether weights, states and checks are those of the plan after the nearest change, because for the request as it
        stands there is not even a nearest plan.
    first_needed : str or None
        What has to be known or changed first, where neither the request nor any change that was tried has a plan.
    reading_positions : sequence of str
        Where everything that can move has to be at every reading.
    initial_list_deg : Range or None
        List of the initial state, weights at home.
    """

    feasible: bool
    weights: Sequence[PlannedWeight]
    total_mass_t: float | None
    states: Sequence[PlannedState]
    max_heel_deg: Range | None
    expected_uncertainty: ExpectedUncertainty | None
    search_uncertainty: ExpectedUncertainty | None
    lifts: int | None
    duration_minutes: float | None
    checks: Sequence[Check]
    alternatives: Sequence[PlanSummary]
    binding_constraint: str | None
    cautions: Sequence[str]
    nearest_change: str | None
    changes: Sequence[str]
    nearest_change_patch: dict[str, Any] | None
    nearest_plan: PlanSummary | None
    shown_after_change: bool
    first_needed: str | None
    reading_positions: Sequence[str]
    initial_list_deg: Range | None
