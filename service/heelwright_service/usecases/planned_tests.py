"""What a stored plan comes to: the planned condition, the procedure and the review of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_service.core.campaign.plan_document import EstimatedItem
from heelwright_service.core.campaign.planned_condition import Mass, PlannedCondition, planned_condition
from heelwright_service.core.campaign.procedure import Identity, ProcedureInputs
from heelwright_service.core.campaign.procedure_review import ReviewContext, review_procedure
from heelwright_service.core.campaign.reached import OnRecord
from heelwright_service.core.campaign.tank_answers import answer_states
from heelwright_service.core.campaign.tank_document import TankAnswer, TankPlan
from heelwright_service.core.campaign.tank_plan import PlannedShip
from heelwright_service.core.errors import CoreError
from heelwright_service.core.results import Check
from heelwright_service.usecases.expected_lightship import why_inclining_is_called_for
from heelwright_service.usecases.stored_tests import StoredTest

SEA_WATER_T_PER_M3 = 1.025
"""Taken for the water alongside until the plan names its density; the condition says so."""


def procedure_inputs(test: StoredTest) -> ProcedureInputs:
    """Return what the procedure of a test is put together from."""
    vessel = test.vessel
    names = ("name", "imo_number", "kind", "length_bp_m", "length_m", "breadth_m", "depth_m")
    identity = Identity(**{name: getattr(vessel, name) for name in names})
    return ProcedureInputs(
        test.kind,
        identity,
        test.plan,
        test.tank_plan or TankPlan([]),
        _condition(test),
        test.preparations,
    )


def procedure_checks(test: StoredTest, today: str) -> list[Check]:
    """Return the review of a test's procedure."""
    return review_procedure(procedure_inputs(test), review_context(test, today))


def review_context(test: StoredTest, today: str) -> ReviewContext:
    """Return what the review needs besides the procedure."""
    table = test.description.get("hydrostatic_table")
    trims = {row.get("trim_m", 0.0) for row in table["rows"]} if table is not None else set()
    covered = test.description.get("hull") is not None or len(trims) > 1
    called_for = None
    if test.description.get("approved_lightship") is None:
        called_for = "no approved inclining test of this vessel is on record"
    elif test.drift_request is not None:
        called_for = _called_for(test, today)
    return ReviewContext(today, planned_ship(test), covered, called_for)


def on_record(test: StoredTest, today: str) -> OnRecord:
    """Return what is on record of a test, by which the dates of its calendar count as done."""
    plan = test.tank_plan or TankPlan([])
    answers = answer_states(plan, test.all_of("tank-answer", TankAnswer), today)
    weights = [] if test.plan.moves is None else [weight.id for weight in test.plan.moves.weights]
    certified = {document["id"] for document in test.documents("weight") if document.get("certificate")}
    return OnRecord(
        test.stage,
        test.plan,
        test.preparations,
        answers=[each.state for each in answers],
        tanks_entered=test.tank_plan is None or any(tank.entry for tank in plan.tanks),
        closed=[what for what in ("advisory-survey", "survey", "test-day") if test.closed(what)],
        weights_certified=bool(weights) and certified.issuperset(weights),
        kind=test.kind,
    )


def _called_for(test: StoredTest, today: str) -> str | None:
    """Whether an inclining is called for is the same for every caller; the figures of a lead ship are not."""
    if test.drift_request is None or test.drift_request_seen is None:
        return None
    why = why_inclining_is_called_for({**test.drift_request, "as_of": today})
    if why is None or test.drift_request_seen is test.drift_request:
        return why
    if why == why_inclining_is_called_for({**test.drift_request_seen, "as_of": today}):
        return why
    return "it follows from the data of her lead ship, which this token may not see"


def planned_ship(test: StoredTest) -> PlannedShip:
    """Return what the checks of a tank plan need to know of the ship."""
    heel = test.plan.moves.max_heel_deg if test.plan.moves is not None else None
    largest = None if heel is None else heel.expected if heel.high is None else heel.high
    return PlannedShip(test.description["length_bp_m"], test.tanks, largest)


def planned_condition_of(test: StoredTest, tank_plan: TankPlan | None = None) -> PlannedCondition:
    """Return the planned condition of a test.

    Parameters
    ----------
    test : StoredTest
        The test.
    tank_plan : TankPlan, optional
        In place of the stored one.

    Returns
    -------
    PlannedCondition
        Floated where the assumed lightship has a VCG and the vessel a hull form.

    Raises
    ------
    CoreError
        ``lightship-not-assumed`` without an assumed lightship; what the tanks or the floating refuse.
    """
    tanks = tank_plan or test.tank_plan or TankPlan([])
    solids, whole = _solids(test)
    place = test.plan.place
    density = place.expected_density_t_per_m3 if place is not None else None
    water = SEA_WATER_T_PER_M3 if density is None else density
    return planned_condition(solids, test.tanks, tanks.tanks, water, test.hull() if whole else None)


def _solids(test: StoredTest) -> tuple[list[Mass], bool]:
    """The masses of the condition, and whether their centres are known well enough to float it."""
    light, whole = _assumed_lightship(test)
    moves = test.plan.moves
    rows = [light, *(_expected_item(item) for item in test.plan.estimated_items if item.kind != "misplaced")]
    rows += [_person(document) for document in test.documents("person")]
    if moves is not None and moves.states:
        start = min(moves.states, key=lambda state: state.number).positions
        rows += [Mass(w.id, w.mass_t, *start[w.id]) for w in moves.weights if w.id in start]
    return rows, whole


def _assumed_lightship(test: StoredTest) -> tuple[Mass, bool]:
    expected, approved = test.plan.expected, test.description.get("approved_lightship")
    if expected is not None and expected.lightship_mass_t is not None and expected.lightship_lcg_m is not None:
        vcg = expected.lightship_vcg_m
        x, y, z = expected.lightship_lcg_m, expected.lightship_tcg_m, 0.0 if vcg is None else vcg
        return Mass("Assumed lightship", expected.lightship_mass_t, x, y, z), vcg is not None
    if approved is not None:
        at = (approved["lcg_m"], approved.get("tcg_m") or 0.0, approved["vcg_m"])
        return Mass("Approved lightship", approved["mass_t"], *at), True
    message = "No lightship is assumed; give its mass, LCG and VCG under expected in the plan."
    raise CoreError("lightship-not-assumed", message, "/expected")


def _person(document: Mapping[str, Any]) -> Mass:
    return Mass(document.get("name") or "Person", *(document[name] for name in ("mass_t", "x_m", "y_m", "z_m")))


def _expected_item(item: EstimatedItem) -> Mass:
    sign = -1.0 if item.kind == "missing" else 1.0
    return Mass(item.description, sign * item.mass_t, item.x_m, item.y_m, item.z_m)


def _condition(test: StoredTest) -> PlannedCondition | None:
    try:
        return planned_condition_of(test)
    except CoreError:
        return None
