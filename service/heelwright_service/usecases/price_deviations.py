"""Price departures from the procedure on a ship's own model, and say which survey items matter; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, cast

from heelwright_service.core import planning
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import IncliningWeight, State, TestRecord
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviation_kinds import KINDS
from heelwright_service.core.uncertainty.deviations import price_deviations
from heelwright_service.core.uncertainty.materiality import UNLISTED_ITEMS, materiality
from heelwright_service.core.uncertainty.plan_expectation import planned_moves, planned_test
from heelwright_service.core.uncertainty.pretest import PlannedTest, planned_record
from heelwright_service.usecases.computing import Turns

COVERAGE = 1.96
"""Expanded (95 %) over standard uncertainty of a normal distribution (JCGM 100:2008, table G.1)."""

_ON_A_PLAN = (
    "Priced on the plan: the ship floats as planned, tanks and items are not known yet, the mass is the displacement "
    "without the weights."
)
_NO_HULL = "No hull form is given: a box of the same displacement, breadth and draught stands in for the ship."


def price_on_document(turns: Turns, request: Mapping[str, Any]) -> dict[str, Any]:
    """Price deviations on a test record, or on a plan before the test.

    Parameters
    ----------
    turns : Turns
        The queue of computations.
    request : Mapping
        ``deviations`` and either ``record``, or ``plan`` and ``vessel``, of checked shape.

    Returns
    -------
    dict
        ``items``, one price for each deviation, and ``cautions``.

    Raises
    ------
    CoreError
        Naming the deviation, or what is wrong with record or plan.
    """
    deviations = [from_document(Deviation, one) for one in request["deviations"]]
    with turns.turn():
        if request.get("record") is not None:
            record, place = from_document(TestRecord, request["record"]), "/record"
            cautions: list[str] = []
        else:
            record, cautions = _on_plan(request)
            place = "/plan"
        found = price_deviations(record, deviations, record_pointer=place)
    return cast(dict[str, Any], to_document(replace(found, cautions=[*found.cautions, *cautions])))


def list_kinds() -> dict[str, Any]:
    """Return the kinds of deviation that can be priced, with the sizes that each needs.

    Returns
    -------
    dict
        ``items`` with ``kind``, ``text``, ``needs`` and ``may`` (sizes that it needs, and that it may have) and
        ``inclining`` (whether it needs an inclining test).
    """
    return {
        "items": [
            {
                "kind": name,
                "text": kind.text,
                "needs": list(kind.needs),
                "may": list(kind.may),
                "inclining": kind.inclining,
            }
            for name, kind in KINDS.items()
        ]
    }


def limit_items(request: Mapping[str, Any]) -> dict[str, Any]:
    """Say below which size survey items need not be listed by themselves.

    Parameters
    ----------
    request : Mapping
        Targets as expanded (95 %) uncertainties, lightship mass and number of unlisted items, of checked shape.

    Returns
    -------
    dict
        The limits, and the standard uncertainties of the lumped remainder to be stated in the record.

    Raises
    ------
    CoreError
        When a target, the mass or the number is not positive.
    """
    mass = request.get("target_mass_uncertainty_t")
    found = materiality(
        request["target_vcg_uncertainty_m"] / COVERAGE,
        None if mass is None else mass / COVERAGE,
        request["lightship_mass_t"],
        request.get("unlisted_items") or UNLISTED_ITEMS,
    )
    return cast(dict[str, Any], to_document(found))


def _on_plan(request: Mapping[str, Any]) -> tuple[TestRecord, list[str]]:
    """The record that the planned test would give without any error."""
    asked = {key: value for key, value in request["plan"].items() if key not in ("inclining_weights", "states")}
    if request.get("vessel") is not None:
        asked["vessel"] = request["vessel"]
    plan = from_document(planning.PlanRequest, asked)
    has_hull = plan.vessel is not None and plan.vessel.hull is not None
    try:
        record = planned_record(_planned(plan, request["plan"]))
    except CoreError as error:
        raise error.under("/plan") from error
    return record, [_ON_A_PLAN] if has_hull else [_ON_A_PLAN, _NO_HULL]


def _chosen(plan: planning.PlanRequest) -> planning.WeightPlan:
    found = planning.plan_weights(plan)
    if found.shown_after_change or not found.weights:
        raise CoreError("no-plan", f"There is no plan to price: {found.binding_constraint}.", "")
    return found


def _planned(plan: planning.PlanRequest, document: Mapping[str, Any]) -> PlannedTest:
    """The planned test with the weights and states given, or else with those that the planner chooses."""
    weights: Sequence[Mapping[str, Any]] = document.get("inclining_weights") or ()
    states: Sequence[Mapping[str, Any]] = document.get("states") or ()
    if not weights or not states:
        return planned_test(plan, _chosen(plan))
    masses = [from_document(IncliningWeight, one) for one in weights]
    places = sorted((from_document(State, one) for one in states), key=lambda state: state.number)
    return planned_moves(plan, {one.id: one.mass_t for one in masses}, [one.positions for one in places])
