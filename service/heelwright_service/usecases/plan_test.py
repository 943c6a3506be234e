"""Open a test, plan it, and read what the plan makes of it: calendar, procedure, review of the procedure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.dates import working_windows
from heelwright_service.core.campaign.plan_document import TestPlan
from heelwright_service.core.campaign.procedure import procedure
from heelwright_service.core.campaign.procedure_review import review_procedure
from heelwright_service.core.campaign.reached import calendar
from heelwright_service.core.campaign.stages import following, missing_for
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.rules import rule_set as find_rule_set
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import tests
from heelwright_service.store.queries.vessels import get_vessel
from heelwright_service.store.tables import StabilityTest, Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.planned_tests import on_record, procedure_inputs, review_context
from heelwright_service.usecases.preconditions import Expected
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_documents import StoredPlan, refuse_after_test_day, store_document, tell
from heelwright_service.usecases.test_evidence import Moment, evidence_of
from heelwright_service.usecases.test_files import imported_view

CREATED_FIELDS = ("kind", "origin", "title", "record_source", "supersedes")
DEFAULT_TEST_MINUTES = 240.0


def open_test(work: UnitOfWork, caller: Caller, vessel_id: str, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Open a test of a vessel and return it.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who opens it.
    vessel_id : str
        The vessel.
    facts : Mapping
        Values by the names of :data:`CREATED_FIELDS`.

    Returns
    -------
    dict
        The test as stored.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    InvalidError
        When her length is not known, or the test to supersede is not an approved one of hers.
    ConflictError
        When another test supersedes that one already.
    """
    with work.transaction() as session:
        try:
            vessel = get_vessel(session, vessel_id, caller.scope)
        except NotFoundError as error:
            raise InvalidError(error.code, error.message, "/vessel_id") from error
        if vessel.length_bp_m is None:
            message = "the length between perpendiculars of this vessel is not known; enter it first"
            raise InvalidError("vessel-incomplete", message, "/vessel_id")
        _check_superseded(session, caller, vessel, facts.get("supersedes"))
        row = StabilityTest(
            vessel_id=vessel.id,
            kind=facts["kind"],
            origin=facts.get("origin") or "conducted",
            title=facts.get("title"),
            record_source=facts.get("record_source"),
            supersedes=facts.get("supersedes"),
            stage="planned",
            created_by=caller.name,
        )
        session.add(row)
        session.flush()
        tell(work, caller, row, "test.opened", {"kind": row.kind})
        return whole_view(session, load_test(session, caller, row.id), Moment.now(caller))


def read_test(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """Return a test with its stage and what is missing for the next.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    """
    with work.transaction(read_only=True) as session:
        return whole_view(session, load_test(session, caller, test_id), Moment.now(caller))


def list_tests(
    work: UnitOfWork,
    caller: Caller,
    *,
    limit: int,
    cursor: str | None = None,
    vessel_id: str | None = None,
    stage: str | None = None,
) -> Page[dict[str, Any]]:
    """Return one page of the tests that the caller may see, in the order of their opening."""
    with work.transaction(read_only=True) as session:
        page = tests.page_tests(session, caller.scope, vessel_id=vessel_id, stage=stage, cursor=cursor, limit=limit)
        return page.map(row_view)


def store_plan(
    work: UnitOfWork, caller: Caller, test_id: str, expected: Expected, document: dict[str, Any]
) -> StoredPlan:
    """Store a new version of a test's plan.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who stores it.
    test_id : str
        The test.
    expected : Expected
        The versions that the caller has seen.
    document : dict
        The plan, of checked shape.

    Returns
    -------
    StoredPlan
        The version that is now current.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    StaleError
        When the plan is not at an expected version.
    ConflictError
        When the test day is over.
    CoreError
        When the plan names a rule set that is not known.
    """
    plan = from_document(TestPlan, document)
    find_rule_set(plan.rule_set, "/rule_set")
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        refuse_after_test_day(test)
        return store_document(work, session, caller, test, "plan", expected, document)


def read_calendar(work: UnitOfWork, caller: Caller, test_id: str, today: str) -> dict[str, Any]:
    """Return the dates counted back from the day of the test, and the windows it can be made in.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        When the plan has no date yet.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
    plan, dates = test.plan, calendar(on_record(test, today), today)
    minutes = max(60.0, 15.0 * len(plan.moves.states)) if plan.moves is not None else DEFAULT_TEST_MINUTES
    windows = working_windows(plan.bookings.daylight, plan.bookings.tides, minutes)
    return {"items": to_document(dates), "windows": to_document(windows), "needed_minutes": minutes}


def read_procedure(work: UnitOfWork, caller: Caller, test_id: str, today: str) -> dict[str, Any]:
    """Return the procedure as data, with the review that reviewers would make of it.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
    given = procedure_inputs(test)
    found = to_document(procedure(given))
    checks = review_procedure(given, review_context(test, today))
    return {**found, "checks": to_document(checks)}


def row_view(row: StabilityTest) -> dict[str, Any]:
    """Return a test as plain data, without what has to be worked out."""
    names = (
        "id",
        "version",
        "vessel_id",
        "kind",
        "origin",
        "title",
        "record_source",
        "stage",
        "result_id",
        "lightship_id",
        "supersedes",
        "created_at",
        "created_by",
        "updated_at",
    )
    return {name: getattr(row, name) for name in names}


def whole_view(session: Session, test: StoredTest, moment: Moment) -> dict[str, Any]:
    """Return a test as plain data, with where it can go from here and what is missing for that."""
    evidence = evidence_of(session, test, moment)
    ahead = following(test.stage, evidence)
    return row_view(test.row) | {
        "date": test.date,
        "imported": imported_view(test),
        "order": test.plan.order,
        "pinned": None if test.row.pinned is None else test.row.pinned["versions"],
        "next_stages": [{"stage": stage, "missing": to_document(missing_for(stage, evidence))} for stage in ahead],
        "open_actions": [follow_up.id for follow_up in tests.open_follow_ups(session, test.row.id)],
    }


def _check_superseded(session: Session, caller: Caller, vessel: Vessel, test_id: str | None) -> None:
    if test_id is None:
        return
    try:
        old = tests.get_test(session, test_id, caller.scope)
    except NotFoundError as error:
        raise InvalidError(error.code, error.message, "/supersedes") from error
    if old.vessel_id != vessel.id or old.stage != "approved":
        message = "only an approved test of the same vessel can be superseded; others are corrected or abandoned"
        raise InvalidError("not-superseded", message, "/supersedes")
