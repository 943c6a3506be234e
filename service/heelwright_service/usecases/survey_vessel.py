"""Enter what is surplus, missing or misplaced, carry it over from the advisory survey, keep the boundary register."""

from __future__ import annotations

import datetime
from typing import Any

from heelwright_service.core.campaign.boundary import check_boundary, in_force
from heelwright_service.core.campaign.survey import (
    SurveyItem,
    carry_over,
    check_totals,
    landings,
    lumped,
    not_carried,
    safe_side_hint,
    totals,
    twins,
)
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.uncertainty.materiality import Materiality, materiality
from heelwright_service.store.queries import tests
from heelwright_service.store.queries.vessels import get_vessel
from heelwright_service.store.tables import BoundaryDecision
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.enter_in_test import Entered, add_entry
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_results import decisions_of
from heelwright_service.usecases.weigh_readiness import assumed_lightship_t

TARGET_VCG_STANDARD_M = 0.02
TARGET_MASS_STANDARD_RELATIVE = 0.002
"""What a test is taken to aim at where the plan states no target (office default)."""


def enter_item(work: UnitOfWork, caller: Caller, test_id: str, entered: Entered) -> dict[str, Any]:
    """Enter a row of the survey and return it with the hint on which side an estimate should err.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who enters it.
    test_id : str
        The test.
    entered : Entered
        The row, of checked shape.

    Returns
    -------
    dict
        The entry, with ``hint`` and the ``twins`` it seems to have.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    ConflictError
        When the survey is closed.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        view = add_entry(work, session, caller, test, "item", entered)
        return _with_hints(view, load_test(session, caller, test_id))


def tick_item(work: UnitOfWork, caller: Caller, test_id: str, item_id: str, mass_t: float | None) -> dict[str, Any]:
    """Carry a row of the advisory survey over into the survey.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no such row.
    CoreError
        When the row is of the survey itself.
    ConflictError
        When the survey is closed.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        row = tests.get_entry(session, test.row.id, item_id, ("item",))
        old = from_document(SurveyItem, {**row.document, "id": row.id})
        carried = to_document(carry_over(old, "new", mass_t))
        document = {name: value for name, value in carried.items() if name != "id" and value is not None}
        view = add_entry(work, session, caller, test, "item", Entered(document))
        return _with_hints(view, load_test(session, caller, test_id))


def sum_up(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """Return the survey's totals against their limits, and what is worth doing about them.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who asks.
    test_id : str
        The test.

    Returns
    -------
    dict
        ``totals``, ``checks``, ``landings``, ``twins``, ``materiality``, ``lumps``, ``not_carried`` and ``boundary``.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        When no lightship is assumed to take percentages of.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
        decisions = decisions_of(session, test.row.vessel_id)
    light = assumed_lightship_t(test)
    if light is None:
        message = "no lightship is assumed; give its mass under expected in the plan"
        raise InvalidError("lightship-not-assumed", message, "/expected/lightship_mass_t")
    items, aboard = test.items(), _persons_and_weights_t(test)
    found = totals(items, light, aboard)
    limit = _materiality(light)
    vcg = _vcg_m(test)
    return {
        "totals": to_document(found),
        "checks": to_document(check_totals(found)),
        "landings": to_document(landings(items, light, aboard)),
        "twins": to_document(twins(items, [tank.name for tank in test.tanks], _names(test))),
        "materiality": to_document(limit),
        "lumps": [] if vcg is None else to_document(lumped(items, limit.item_moment_t_m, vcg)),
        "not_carried": [item.id for item in not_carried(test.items("advisory"), items)],
        "boundary": to_document(check_boundary(items, decisions, test.plan.date)),
    }


def decide_boundary(work: UnitOfWork, caller: Caller, vessel_id: str, facts: dict[str, Any]) -> dict[str, Any]:
    """Record on which side of the lightship boundary a class of things lies on a vessel.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who records it.
    vessel_id : str
        The vessel.
    facts : dict
        ``item_class``, ``counts``, ``decided_by``, ``decided_on``, and optionally ``quantity`` and ``reason``.

    Returns
    -------
    dict
        The decision as stored.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    """
    with work.transaction() as session:
        vessel = get_vessel(session, vessel_id, caller.scope)
        row = BoundaryDecision(vessel_id=vessel.id, recorded_by=caller.name, **facts)
        session.add(row)
        session.flush()
        data = {"item_class": row.item_class, "counts": row.counts}
        path = f"/v1/vessels/{vessel.id}/boundary-register"
        work.emit("vessel.boundary-decided", path, actor=caller.name, vessel_id=vessel.id, data=data)
        return boundary_view(row)


def read_boundary(work: UnitOfWork, caller: Caller, vessel_id: str, on: datetime.date | None) -> dict[str, Any]:
    """Return the boundary register of a vessel: every decision, and the one in force for each class.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    """
    with work.transaction(read_only=True) as session:
        vessel = get_vessel(session, vessel_id, caller.scope)
        rows = tests.boundary_decisions(session, vessel.id)
        decisions = decisions_of(session, vessel.id)
    force = in_force(decisions, None if on is None else on.isoformat())
    return {
        "items": [boundary_view(row) for row in rows],
        "in_force": to_document(list(force.values())),
        "next_cursor": None,
    }


def boundary_view(row: BoundaryDecision) -> dict[str, Any]:
    """Return a decision on the boundary as plain data."""
    stated = ("item_class", "counts", "quantity", "decided_by", "decided_on", "reason")
    return {name: getattr(row, name) for name in ("id", *stated, "recorded_at", "recorded_by")}


def _with_hints(view: dict[str, Any], test: StoredTest) -> dict[str, Any]:
    vcg = _vcg_m(test)
    items = test.items(view.get("survey", "survey"))
    own = next((item for item in items if item.id == view["entry_id"]), None)
    hint = "" if own is None or vcg is None else safe_side_hint(own, vcg)
    found = twins(items, [tank.name for tank in test.tanks], _names(test))
    own_twins = [each for each in found if view["entry_id"] in (each.first, each.second)]
    return view | {"hint": hint, "twins": to_document(own_twins)}


def _vcg_m(test: StoredTest) -> float | None:
    expected, approved = test.plan.expected, test.description.get("approved_lightship")
    if expected is not None and expected.lightship_vcg_m is not None:
        return expected.lightship_vcg_m
    return None if approved is None else float(approved["vcg_m"])


def _persons_and_weights_t(test: StoredTest) -> float:
    return float(sum(d["mass_t"] for kind in ("person", "weight") for d in test.documents(kind)))


def _names(test: StoredTest) -> list[str]:
    return [document["name"] for document in test.documents("person") if document.get("name")]


def _materiality(lightship_t: float) -> Materiality:
    return materiality(TARGET_VCG_STANDARD_M, TARGET_MASS_STANDARD_RELATIVE * lightship_t, lightship_t)
