"""What the measurement model expects of a weight plan, and what would better it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.plan import ExpectedUncertainty, WeightPlan
from heelwright_service.core.planning.precision import tangent_uncertainty
from heelwright_service.core.planning.request import PlanInstrument, PlanRequest
from heelwright_service.core.record import Instrument, Position, StatedUncertainties
from heelwright_service.core.uncertainty.levers import LeverAnswer, Target, weigh_levers
from heelwright_service.core.uncertainty.pretest import Expectation, PlannedTest, expected_uncertainty


def expected_for_plan(request: PlanRequest, plan: WeightPlan) -> Expectation:
    """Run the measurement model on a weight plan.

    Parameters
    ----------
    request : PlanRequest
        What was asked.
    plan : WeightPlan
        What was answered.

    Returns
    -------
    Expectation
        Expanded (95 %) uncertainties of GM and KG as inclined [m].

    Raises
    ------
    CoreError
        When the planned condition does not float on the hull.
    """
    return expected_uncertainty(planned_test(request, plan))


def levers_for_plan(request: PlanRequest, plan: WeightPlan) -> LeverAnswer:
    """Say what would better a weight plan, and the cheapest way to its target of uncertainty.

    Parameters
    ----------
    request : PlanRequest
        What was asked; its `target_gm_uncertainty_m` is the target, where given.
    plan : WeightPlan
        What was answered.

    Returns
    -------
    LeverAnswer
        The ways, and the cheapest that does.

    Raises
    ------
    CoreError
        When the planned condition does not float on the hull.
    """
    wanted = request.target_gm_uncertainty_m
    return weigh_levers(planned_test(request, plan), None if wanted is None else Target(gm_m=wanted))


def planned_test(request: PlanRequest, plan: WeightPlan) -> PlannedTest:
    """Put request and plan together as the measurement model needs them.

    Parameters
    ----------
    request : PlanRequest
        What was asked.
    plan : WeightPlan
        What was answered.

    Returns
    -------
    PlannedTest
        The planned test.
    """
    masses = {weight.id: weight.mass_t for weight in plan.weights}
    return planned_moves(request, masses, [state.positions for state in plan.states])


def planned_moves(
    request: PlanRequest, masses_t: Mapping[str, float], states: Sequence[Mapping[str, Position]]
) -> PlannedTest:
    """Put a request and any sequence of moves together as the measurement model needs them.

    Parameters
    ----------
    request : PlanRequest
        Ship and instruments.
    masses_t : mapping of str to float
        Weights [t] by id.
    states : sequence of mapping
        Places [m] of every weight in each state, the initial one first.

    Returns
    -------
    PlannedTest
        The planned test.
    """
    return PlannedTest(
        request.displacement_t,
        request.gm_m,
        request.draught_m,
        request.breadth_m,
        request.depth_m,
        masses_t,
        states,
        [Instrument(each.id, each.kind, each.length_m) for each in request.instruments],
        vessel=request.vessel,
        uncertainties=StatedUncertainties(
            reading_m=_reading_m(request.instruments), reading_deg=_reading_deg(request.instruments)
        ),
        initial_heel_deg=request.initial_heel_deg,
    )


def _reading_m(instruments: Sequence[PlanInstrument]) -> float | None:
    """Root mean square of what a reading along a batten is known to, with the instruments' resolutions."""
    return _mean([tangent_uncertainty(each) * each.length_m for each in instruments if each.length_m is not None])


def _reading_deg(instruments: Sequence[PlanInstrument]) -> float | None:
    angles = [tangent_uncertainty(each) for each in instruments if each.length_m is None]
    return _mean([math.degrees(angle) for angle in angles])


def _mean(values: Sequence[float]) -> float | None:
    return math.sqrt(sum(value**2 for value in values) / len(values)) if values else None


@dataclass(frozen=True)
class WeighedPlan:
    """A plan with the expectation of the measurement model, and what would better it (None where that is not known)."""

    plan: WeightPlan
    levers: LeverAnswer | None


def weigh_plan(request: PlanRequest, plan: WeightPlan) -> WeighedPlan:
    """Put the expectation of the measurement model in place of the planner's, and weigh the levers.

    Parameters
    ----------
    request : PlanRequest
        What was asked.
    plan : WeightPlan
        What was answered; the planner's own, simpler expectation led its search and stays in the alternatives.

    Returns
    -------
    WeighedPlan
        The plan with its expectation. Where the plan does not float on the hull both stay as they were, with a caution;
        so they do where the plan is that of a changed request or there is none.
    """
    if plan.shown_after_change or not plan.weights:
        return WeighedPlan(plan, None)
    try:
        levers = levers_for_plan(request, plan)
    except CoreError as error:
        caution = f"The measurement model could not float this plan ({error.message}); the planner's estimate stands."
        return WeighedPlan(replace(plan, cautions=[*plan.cautions, caution]), None)
    expected = levers.now
    cautions = [*plan.cautions, *_beyond_target(request, plan, expected)]
    found = ExpectedUncertainty(expected.gm_m, expected.kg_m)
    return WeighedPlan(replace(plan, expected_uncertainty=found, cautions=cautions), levers)


def _beyond_target(request: PlanRequest, plan: WeightPlan, expected: Expectation) -> list[str]:
    target = request.target_gm_uncertainty_m
    if target is None or not plan.feasible or expected.gm_m <= target:
        return []
    return [
        f"The whole measurement model expects ±{1000.0 * expected.gm_m:.1f} mm of GM, more than the target of "
        f"{1000.0 * target:.1f} mm that the planner's simpler estimate keeps; the levers say what closes the gap."
    ]
