"""Reduce a stored test, mark the result preliminary, and open an action where it fails or is doubtful."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from functools import partial
from typing import Any, cast

from sqlalchemy.orm import Session

from heelwright_service import __version__
from heelwright_service.core.campaign.interim import Preliminary, preliminary
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import METHOD_VERSION, Method, reduce_record
from heelwright_service.core.rules import RuleVessel
from heelwright_service.core.rules import rule_set as find_rule_set
from heelwright_service.core.test_result import TestResult
from heelwright_service.store.base import utc_now
from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.errors import ConflictError, StaleError
from heelwright_service.store.queries import tests
from heelwright_service.store.tables import Computation
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.assemble_record import stored_record
from heelwright_service.usecases.computing import Turns
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.preconditions import Expected
from heelwright_service.usecases.reduce_test import Reduction
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_documents import StoredPlan, store_document, tell
from heelwright_service.usecases.test_files import record_of_test
from heelwright_service.usecases.test_results import current_result

KIND = "test-result"
ACTION_DAYS = 30
"""Within how many days a failed or doubtful result is to be followed up (office default)."""


def reduce_stored(
    work: UnitOfWork, turns: Turns, caller: Caller, test_id: str, wanted: Reduction
) -> Callable[[], dict[str, Any]]:
    """Reduce a stored test, and return what keeps the result with where it comes from.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions; the computation runs between reading and keeping, so that recorders need not wait.
    turns : Turns
        The queue of computations.
    caller : Caller
        Who asks for it.
    test_id : str
        The test.
    wanted : Reduction
        Method and treatment of uncertainty.

    Returns
    -------
    callable
        Keeps the result and returns it as :func:`read_result` gives it. It raises StaleError when something was entered
        while the result was computed.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        When the record is incomplete.
    ConflictError
        When the test is approved.
    CoreError
        Naming the field whenever the record cannot be computed.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
        _refuse_frozen(test)
        record = stored_record(session, test)
    parsed = from_document(TestRecord, record)
    with turns.turn(long=wanted.is_long):
        result = reduce_record(
            parsed,
            cast(Method | None, wanted.method),
            wanted.uncertainty,
            wanted.draws,
            1 if wanted.seed is None else wanted.seed,
        )
    return partial(_keep, work, caller, test_id, record, parsed, result)


def _keep(
    work: UnitOfWork, caller: Caller, test_id: str, record: dict[str, Any], parsed: TestRecord, result: TestResult
) -> dict[str, Any]:
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        _refuse_frozen(test)
        if sha256_of(stored_record(session, test)) != sha256_of(record):
            raise StaleError("stale", "something was entered while the result was computed; reduce the test again")
        row = _kept(session, caller, test, record, result)
        outcome = preliminary_of(test, parsed, result)
        _follow_up(session, caller, test, row, outcome)
        data = {"result": row.id, "mass_t": result.lightship.mass_t, "outcome": outcome.outcome}
        tell(work, caller, test.row, "test.reduced", data)
        return _view(test, row, True, outcome)


def read_result(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """Return the newest result of a test, how it stands, and whether the record has changed since.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no result yet.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
        found = current_result(session, test)
    return _view(test, found.row, found.current, preliminary_of(test, found.parsed_record, found.result))


def read_record(work: UnitOfWork, caller: Caller, test_id: str) -> StoredPlan:
    """Return the record of a test: as approved, as it stands, or exactly as it was entered whole.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        When the record is incomplete.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
        if test.entered is not None:
            return StoredPlan(test.entered.document, test.entered.version)
        return StoredPlan(record_of_test(session, test), 0)


def enter_record(
    work: UnitOfWork, caller: Caller, test_id: str, expected: Expected, record: dict[str, Any]
) -> StoredPlan:
    """Enter a finished test whole, from paper or from another installation; it comes out again as it went in.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who enters it.
    test_id : str
        The test, opened with the origin ``entered-record``.
    expected : Expected
        The versions that the caller has seen.
    record : dict
        The test record, of checked shape.

    Returns
    -------
    StoredPlan
        The version that is now current.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    ConflictError
        When the test is conducted here, or approved.
    StaleError
        When the record is not at an expected version.
    InvalidError
        When the record is not of the kind of the test.
    CoreError
        When the plan of a file names a rule set that is not known.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        if test.origin != "entered-record":
            message = "this test is conducted here: enter its readings one by one, or open one of origin entered-record"
            raise ConflictError("test-conducted-here", message)
        _refuse_frozen(test)
        _refuse_unfit(test, record)
        return store_document(work, session, caller, test, "record", expected, record)


def _refuse_unfit(test: StoredTest, record: dict[str, Any]) -> None:
    inclining = bool(record.get("states") or record.get("readings"))
    if inclining != (test.kind == "inclining-test"):
        what = "has states or readings" if inclining else "has neither states nor readings"
        raise InvalidError("record-of-other-kind", f"the test is a {test.kind}, but the record {what}", "/states")
    file = record.get("campaign")
    if file is None:
        return
    if file["test"]["kind"] != test.kind:
        message = f"the test is a {test.kind}, but the file is of a {file['test']['kind']}"
        raise InvalidError("record-of-other-kind", message, "/campaign/test/kind")
    if file["plan"] is not None:
        find_rule_set(file["plan"].get("rule_set"), "/campaign/plan/rule_set")


def preliminary_of(test: StoredTest, record: TestRecord, result: TestResult) -> Preliminary:
    """Hold a result of a test against the lightship assumed for it."""
    row = test.vessel
    facts = {
        "kind": row.kind or "cargo",
        "length_m": record.vessel.length_m or record.vessel.length_bp_m,
        "length_bp_m": record.vessel.length_bp_m,
        "breadth_m": record.vessel.breadth_m,
        "depth_m": record.vessel.depth_m,
        "keel_laid": None if row.keel_laid is None else row.keel_laid.isoformat(),
        "subdivision_length_m": row.subdivision_length_m,
    }
    vessel = from_document(RuleVessel, facts)
    return preliminary(result, record.vessel.approved_lightship, vessel, record.test.rule_set)


def _kept(
    session: Session, caller: Caller, test: StoredTest, record: dict[str, Any], result: TestResult
) -> Computation:
    rules = find_rule_set(record.get("test", {}).get("rule_set"))
    row = Computation(
        kind=KIND,
        vessel_id=test.row.vessel_id,
        method_id=result.lightship.method,
        method_version=METHOD_VERSION,
        inputs=record,
        inputs_sha256=sha256_of(record),
        sources={"test": test.row.id, "pinned": test.row.pinned, "entries": [entry.id for entry in test.history]},
        rule_set=rules.id,
        rule_edition=rules.edition[:100],
        result=to_document(result),
        service_version=__version__,
        computed_by=caller.name,
        supersedes=test.row.result_id,
    )
    session.add(row)
    session.flush()
    test.row.result_id = row.id
    session.flush()
    return row


def _follow_up(session: Session, caller: Caller, test: StoredTest, row: Computation, outcome: Preliminary) -> None:
    """Open an action for a failed or doubtful result; one that a later reduction does away with is closed by it."""
    standing = tests.open_follow_ups(session, test.row.id)
    if outcome.needs_action and not standing:
        charge = next((p.name for p in test.plan.persons if p.role == "person-in-charge"), caller.name)
        due = utc_now().date() + datetime.timedelta(days=ACTION_DAYS)
        tests.open_follow_up(session, test.row, outcome.text[:2000], charge, due, caller.name)
    if not outcome.needs_action:
        for each in standing:
            each.closed_at, each.closed_by = utc_now(), caller.name
            each.evidence = f"computation {row.id}: {outcome.text}"[:2000]


def _refuse_frozen(test: StoredTest) -> None:
    if test.stage in ("approved", "superseded", "abandoned"):
        message = f"this test is at {test.stage}: it is frozen; a mistake found later is put right by a test that "
        raise ConflictError("test-frozen", message + "supersedes it")


def _view(test: StoredTest, row: Computation, current: bool, outcome: Preliminary) -> dict[str, Any]:
    provenance = {
        "service_version": row.service_version,
        "method_version": row.method_version,
        "rule_set": row.rule_set,
        "record_sha256": row.inputs_sha256,
        "computed_at": row.computed_at,
    }
    approved = test.stage in ("approved", "superseded")
    return {
        "id": row.id,
        "status": test.stage if approved else "preliminary",
        "mark": "Approved." if approved else outcome.mark,
        "matches_record": current,
        "supersedes": row.supersedes,
        "computed_by": row.computed_by,
        "preliminary": {"outcome": outcome.outcome, "marginal": outcome.marginal, "text": outcome.text}
        | {"failed_checks": list(outcome.failed_checks), "verdicts": to_document(list(outcome.verdicts))},
        "result": row.result | {"provenance": provenance},
    }
