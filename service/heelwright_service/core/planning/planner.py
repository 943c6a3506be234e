"""Planning the weights of an inclining test: from the request to the plan with its checks and cautions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.alternatives import alternatives, expected_uncertainty, summary
from heelwright_service.core.planning.binding import binding
from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.changes import Mended, mended
from heelwright_service.core.planning.checks import plan_checks
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.modelling import model_of, ship_of
from heelwright_service.core.planning.no_plan import no_plan_at_all, what_is_needed
from heelwright_service.core.planning.outcome import DIGITS, Outcome
from heelwright_service.core.planning.patches import patch
from heelwright_service.core.planning.plan import Lift, PlannedState, PlannedWeight, Range, WeightPlan
from heelwright_service.core.planning.plausible import refuse_contradictions
from heelwright_service.core.planning.precision import SlopeUncertainty, UncertaintyModel
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.request_checks import check_request
from heelwright_service.core.planning.searching import Found, searched
from heelwright_service.core.planning.template import LETTERS
from heelwright_service.core.planning.trials import Trials
from heelwright_service.core.planning.words import STOWING_MINUTES, assumed, cautions, reading_positions
from heelwright_service.core.planning.work import BESIDE_WORK, TOO_LARGE, counted
from heelwright_service.core.results import Check

READING_MINUTES = 6.0
"""For lines to be checked, instruments to settle and all stations to read (office default)."""

LIFT_MINUTES = 10.0
"""For one lift where no crane is given (office default)."""


def plan_weights(request: PlanRequest, precision: UncertaintyModel | None = None) -> WeightPlan:
    """Plan the weights of an inclining test: the lightest that keep every limit, and the sequence of single lifts.

    Parameters
    ----------
    request : PlanRequest
        Ship, places on deck, weights at hand, crane and instruments.
    precision : UncertaintyModel, optional
        Expected uncertainty of GM and KG; by default that of the line's slope and what all readings share.

    Returns
    -------
    WeightPlan
        Of all plans that keep the limits the one of least mass, then fewest lifts, then least expected uncertainty of
        GM. Where no plan does, the nearest, with what stands in the way and what would mend it; where there is none
        even with the changes that were tried, no weights, and what has to be known first.

    Raises
    ------
    CoreError
        When the request makes no sense, naming the field; ``plan-too-large`` where the best of all plans takes too
        much work to find.

    Notes
    -----
    Heel by M = P·t + E(t) as in `heel_model`; the search is described in `search`; the moves in `template`.

    Examples
    --------
    The vessel is due for her test: 2 500 t, GM about 0.95 m, 3 t weights at hand, 12 m of deck to shift them across.

    >>> from heelwright_service.core.documents import from_document
    >>> due = from_document(PlanRequest, {
    ...     "displacement_t": 2500.0, "gm_m": 0.95, "breadth_m": 14.0, "depth_m": 8.0, "draught_m": 4.5,
    ...     "gm_uncertainty_m": 0.05, "heel_band_deg": [1.5, 3.0], "weights_count": 4,
    ...     "positions": [{"x_m": 30.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 8.6, "units_per_side": 4}],
    ...     "stock": [{"mass_t": 3.0, "count": 4}],
    ...     "instruments": [{"id": "forward", "kind": "pendulum", "length_m": 6.0},
    ...                     {"id": "aft", "kind": "pendulum", "length_m": 5.5}]})
    >>> plan = plan_weights(due)
    >>> plan.feasible, plan.total_mass_t, [state.moment_t_m for state in plan.states]
    (True, 12.0, [0.0, 36.0, 72.0, 36.0, 0.0, -36.0, -72.0, -36.0, 0.0])
    """
    check_request(request)
    refuse_contradictions(request)
    limits = Limits.of(request)
    model = SlopeUncertainty.of(request) if precision is None else precision
    ship = ship_of(request, model_of(request), model)
    found = searched(request, ship, limits)
    plan = _answer(request, ship, limits, found)
    return replace(plan, cautions=[*plan.cautions, *found.cautions])


def _answer(request: PlanRequest, ship: Ship, limits: Limits, found: Found) -> WeightPlan:
    if found.solution is not None and found.outcome is not None:
        outcome = found.outcome if found.outcome.request is request else replace(found.outcome, request=request)
        if found.solution.lacking == "nothing":
            return _feasible(outcome, found.outcome, limits)
        mending = _mended(request, ship, found.solution.lacking)
        checks = plan_checks(outcome, limits, request)
        return _infeasible(request, outcome, checks, binding(found.solution, outcome, limits, checks), mending)
    mending = _mended(request, ship, "")
    binds = no_plan_at_all(request, ship)
    if mending.outcome is None:
        return _without_a_plan(request, ship, binds, mending)
    checks = plan_checks(mending.outcome, Limits.of(mending.outcome.request), request)
    return _infeasible(request, mending.outcome, checks, binds, mending, after_change=True)


def _mended(request: PlanRequest, ship: Ship, lacking: str) -> Mended:
    with counted(request, BESIDE_WORK):
        return mended(Trials(request, ship), lacking)


def _feasible(outcome: Outcome, searched_outcome: Outcome, limits: Limits) -> WeightPlan:
    try:
        with counted(outcome.request, BESIDE_WORK):
            others, cut = alternatives(searched_outcome, limits), []
    except CoreError as refusal:
        if refusal.code != TOO_LARGE:
            raise
        others, cut = [], ["Other plans are not listed: with so many choices the search for them takes too long."]
    plan = _worked_out(outcome, plan_checks(outcome, limits, outcome.request))
    return replace(plan, alternatives=others, cautions=[*plan.cautions, *cut])


def _infeasible(
    asked: PlanRequest,
    outcome: Outcome,
    checks: Sequence[Check],
    binds: str | None,
    mending: Mended,
    *,
    after_change: bool = False,
) -> WeightPlan:
    plan = _worked_out(outcome, checks)
    cautions = list(plan.cautions)
    if after_change:
        cautions.append("For the request as it stands there is no plan to show: what is shown is the plan after the "
                        "nearest change.")  # fmt: skip
    if not mending.complete:
        cautions.append("Not every change was looked for: with so many choices the search takes too long.")
    nearest = mending.nearest
    return replace(
        plan,
        feasible=False,
        binding_constraint=binds,
        cautions=cautions,
        nearest_change=None if nearest is None else nearest.text,
        changes=[] if nearest is None else [nearest.text, *(each.text for each in mending.others)],
        nearest_change_patch=None if nearest is None else patch(asked, nearest.request),
        nearest_plan=None if nearest is None or mending.outcome is None else summary(mending.outcome, nearest.text),
        shown_after_change=after_change,
    )


def _without_a_plan(request: PlanRequest, ship: Ship, binds: str, mending: Mended) -> WeightPlan:
    return WeightPlan(
        feasible=False,
        weights=[],
        total_mass_t=None,
        states=[],
        max_heel_deg=None,
        expected_uncertainty=None,
        search_uncertainty=None,
        lifts=None,
        duration_minutes=None,
        checks=[],
        alternatives=[],
        binding_constraint=binds,
        cautions=assumed(request, ship.model),
        nearest_change=None,
        changes=[],
        nearest_change_patch=None,
        nearest_plan=None,
        shown_after_change=False,
        first_needed=what_is_needed(request, binds, complete=mending.complete),
        reading_positions=[],
        initial_list_deg=None,
    )


def _worked_out(outcome: Outcome, checks: Sequence[Check]) -> WeightPlan:
    heel = [float(np.degrees(np.arctan(np.abs(t).max()))) for t in (outcome.expected, outcome.stiff, outcome.soft)]
    return WeightPlan(
        feasible=True,
        weights=_weights(outcome),
        total_mass_t=round(outcome.loading.mass_t, DIGITS),
        states=_states(outcome),
        max_heel_deg=Range(*heel),
        expected_uncertainty=expected_uncertainty(outcome),
        search_uncertainty=expected_uncertainty(outcome),
        lifts=outcome.which.lifts,
        duration_minutes=_duration_minutes(outcome),
        checks=checks,
        alternatives=[],
        binding_constraint=None,
        cautions=cautions(outcome, _office_times(outcome.request)),
        nearest_change=None,
        changes=[],
        nearest_change_patch=None,
        nearest_plan=None,
        shown_after_change=False,
        first_needed=None,
        reading_positions=reading_positions(outcome),
        initial_list_deg=_heel_range(outcome, 0),
    )


def _weights(outcome: Outcome) -> list[PlannedWeight]:
    return [
        PlannedWeight(
            name,
            outcome.masses_t[w],
            outcome.shifts_m[w],
            LETTERS[w],
            "port" if w % 2 == 0 else "starboard",
            outcome.choice.spots[w] + 1,
        )
        for w, name in enumerate(outcome.ids)
    ]


def _states(outcome: Outcome) -> list[PlannedState]:
    lengths = {each.id: each.length_m for each in outcome.request.instruments if each.length_m is not None}
    states = []
    for n, across in enumerate(outcome.which.states):
        change = float(outcome.expected[n] - outcome.expected[0])
        states.append(
            PlannedState(
                number=n,
                positions={name: outcome.place(w, w in across) for w, name in enumerate(outcome.ids)},
                lift=_lift(outcome, n),
                moment_t_m=round(float(outcome.moments_t_m[n]), DIGITS),
                heel_deg=_heel_range(outcome, n),
                deflection_mm={name: 1000.0 * length * change for name, length in lengths.items()},
            )
        )
    return states


def _lift(outcome: Outcome, n: int) -> Lift | None:
    if n == 0:
        return None
    before, after = outcome.which.states[n - 1], outcome.which.states[n]
    (moved,) = before ^ after
    return Lift(outcome.ids[moved], outcome.place(moved, moved in before), outcome.place(moved, moved in after))


def _heel_range(outcome: Outcome, n: int) -> Range:
    heels = [math.degrees(math.atan(float(each[n]))) for each in (outcome.expected, outcome.soft, outcome.stiff)]
    return Range(heels[0], min(heels), max(heels))


def _duration_minutes(outcome: Outcome) -> float:
    crane = outcome.request.crane
    lift = LIFT_MINUTES if crane is None else crane.minutes_per_lift
    reading = READING_MINUTES + (STOWING_MINUTES if crane is not None and crane.onboard else 0.0)
    return outcome.which.lifts * lift + len(outcome.which.states) * reading


def _office_times(request: PlanRequest) -> str:
    parts = [f"{READING_MINUTES:g} minutes for a reading"]
    if request.crane is None:
        parts.append(f"{LIFT_MINUTES:g} minutes for a lift")
    elif request.crane.onboard:
        parts.append(f"{STOWING_MINUTES:g} minutes to stow the crane for a reading")
    return ", ".join(parts)
