"""Approve a test: its lightship enters the vessel's history, and the test is frozen."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.stages import advance
from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import ConflictError, NotFoundError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import tests
from heelwright_service.store.tables import FollowUp, StabilityTest, TestEntry
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.errors import ForbiddenError, InvalidError
from heelwright_service.usecases.preconditions import Expected
from heelwright_service.usecases.record_history import record_lightship
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_documents import tell
from heelwright_service.usecases.test_evidence import Moment, evidence_of, recorded_by
from heelwright_service.usecases.test_results import CurrentResult, current_result

_QUANTITIES = ("mass_t", "lcg_m", "tcg_m", "vcg_m")


def approve(
    work: UnitOfWork, caller: Caller, test_id: str, expected: Expected, facts: Mapping[str, Any]
) -> dict[str, Any]:
    """Approve a test; its lightship enters the vessel's history with where it comes from.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who approves; he may not have recorded anything in the test.
    test_id : str
        The test.
    expected : Expected
        The versions that the caller has seen.
    facts : Mapping
        ``name`` of the approver, and optionally ``statement``, ``authority``, ``supersedes_lightship`` and ``reason``.

    Returns
    -------
    dict
        The approval with the lightship.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no result.
    StaleError
        When the test is not at an expected version.
    ForbiddenError
        When the caller recorded in this test.
    CoreError
        When evidence lacks; the message says which.
    ConflictError
        When a lightship of the same date and basis stands and is not superseded.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        expected.check(test.row.version)
        if recorded_by(test, caller):
            message = "whoever recorded data of a test cannot approve it; let a second person do so"
            raise ForbiddenError("approver-recorded", message)
        test.row.stage = advance(test.stage, "approved", evidence_of(session, test, Moment.now(caller)))
        found = current_result(session, test)
        lightship = _into_history(work, session, caller, test, found, facts)
        test.row.lightship_id = lightship["id"]
        document = {**facts, "result": found.row.id, "lightship": lightship["id"]}
        _keep(session, caller, test.row, "approval", document)
        _supersede(work, session, caller, test)
        session.flush()
        tell(work, caller, test.row, "test.approved", {"result": found.row.id, "lightship": lightship["id"]})
        return _view(load_test(session, caller, test_id))


def read_approval(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """Return the approval of a test.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or it is not approved.
    """
    with work.transaction(read_only=True) as session:
        return _view(load_test(session, caller, test_id))


def list_actions(
    work: UnitOfWork,
    caller: Caller,
    *,
    limit: int,
    cursor: str | None = None,
    vessel_id: str | None = None,
    open_only: bool = False,
) -> Page[dict[str, Any]]:
    """Return one page of what is to be done after failed or doubtful results."""
    with work.transaction(read_only=True) as session:
        found = tests.page_follow_ups(
            session, caller.scope, vessel_id=vessel_id, open_only=open_only, cursor=cursor, limit=limit
        )
        return found.map(action_view)


def close_action(work: UnitOfWork, caller: Caller, action_id: str, expected: Expected, evidence: str) -> dict[str, Any]:
    """Close an action with its evidence.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who closes it.
    action_id : str
        The action.
    expected : Expected
        The versions that the caller has seen.
    evidence : str
        What shows that it is done.

    Returns
    -------
    dict
        The action as it now is.

    Raises
    ------
    NotFoundError
        When there is no such action for this caller.
    StaleError
        When it is not at an expected version.
    ConflictError
        When it is closed already.
    """
    with work.transaction() as session:
        row = tests.get_follow_up(session, action_id, caller.scope)
        expected.check(row.version)
        if row.closed_at is not None:
            raise ConflictError("action-closed", "this action is closed already")
        row.closed_at, row.closed_by, row.evidence = utc_now(), caller.name, evidence
        session.flush()
        path = f"/v1/actions/{row.id}"
        work.emit("action.closed", path, actor=caller.name, vessel_id=row.vessel_id, data={"evidence": evidence})
        return action_view(row)


def read_action(work: UnitOfWork, caller: Caller, action_id: str) -> dict[str, Any]:
    """Return one action.

    Raises
    ------
    NotFoundError
        When there is no such action for this caller.
    """
    with work.transaction(read_only=True) as session:
        return action_view(tests.get_follow_up(session, action_id, caller.scope))


def action_view(row: FollowUp) -> dict[str, Any]:
    """Return an action as plain data."""
    names = ("id", "version", "vessel_id", "test_id", "text", "owner", "due", "opened_at", "opened_by")
    return {name: getattr(row, name) for name in (*names, "closed_at", "closed_by", "evidence")}


def _into_history(
    work: UnitOfWork,
    session: Session,
    caller: Caller,
    test: StoredTest,
    found: CurrentResult,
    facts: Mapping[str, Any],
) -> dict[str, Any]:
    result = found.result
    stated = found.record.get("test", {}).get("date")
    date = datetime.date.fromisoformat(stated) if stated else found.row.computed_at.date()
    lightship: dict[str, Any] = {
        "date": date,
        "basis": test.kind,
        "approved": True,
        **{name: getattr(result.lightship, name) for name in _QUANTITIES},
        "uncertainties": _standard(found),
    }
    old = facts.get("supersedes_lightship") or _superseded_lightship(session, test.row)
    if old is not None:
        reason = facts.get("reason") or f"superseded by the result {found.row.id} of test {test.row.id}"
        lightship |= {"supersedes": old, "reason": reason}
    try:
        return record_lightship(work, caller, test.row.vessel_id, lightship)
    except (ConflictError, InvalidError) as error:
        if error.pointer != "/supersedes":
            raise
        message = error.message.replace("supersedes", "supersedes_lightship")
        raise type(error)(error.code, message, "/supersedes_lightship") from error


def _standard(found: CurrentResult) -> dict[str, float] | None:
    doubts = found.result.uncertainty
    if doubts is None:
        return None
    known = {name: doubts.quantities.get(name) for name in _QUANTITIES}
    return {name: found.standard for name, found in known.items() if found is not None}


def _superseded_lightship(session: Session, row: StabilityTest) -> str | None:
    old = session.get(StabilityTest, row.supersedes) if row.supersedes is not None else None
    return None if old is None else old.lightship_id


def _supersede(work: UnitOfWork, session: Session, caller: Caller, test: StoredTest) -> None:
    if test.row.supersedes is None:
        return
    old = load_test(session, caller, test.row.supersedes, lock=True)
    moment = Moment.now(caller, successor=test.row.id)
    old.row.stage = advance(old.stage, "superseded", evidence_of(session, old, moment))
    _keep(session, caller, old.row, "stage", {"from": "approved", "to": "superseded", "by": test.row.id})
    tell(work, caller, old.row, "test.superseded", {"by": test.row.id})


def _keep(session: Session, caller: Caller, row: StabilityTest, kind: str, document: Mapping[str, Any]) -> None:
    entry = TestEntry(
        test_id=row.id, kind=kind, document=dict(document), recorded_by=caller.name, token_id=caller.token_id
    )
    session.add(entry)
    session.flush()


def _view(test: StoredTest) -> dict[str, Any]:
    found = test.standing("approval")
    if not found:
        raise NotFoundError("approval-not-found", "this test is not approved")
    row = found[-1]
    return {
        "test_id": test.row.id,
        "test_version": test.row.version,
        "stage": test.stage,
        **row.document,
        "approved_at": row.recorded_at,
        "approved_by": row.recorded_by,
    }
