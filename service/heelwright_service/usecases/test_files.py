"""Give out a whole test as one file, and say what an imported file states."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from heelwright_service.core.campaign.boundary import in_force
from heelwright_service.core.documents import to_document
from heelwright_service.store.queries import tests
from heelwright_service.store.queries.provenance import get_computation
from heelwright_service.store.tables import FollowUp, TestDocument, TestEntry
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.assemble_record import stored_record
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_results import current_result, decisions_of

_DOCUMENTS = {"plan": "plan", "tank-plan": "tank_plan", "preparations": "preparations"}


def read_file(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """Return a whole test as one file: its record, and the test around it as ``campaign``.

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
        A test record with one member more. Of a test that was imported it is the file that came, with one more
        entry under ``campaign/custody``: when, by whom, and what has been done with it here.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        When the record is incomplete.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
        record = record_of_test(session, test)
        if test.file is None:
            return {**record, "campaign": _campaign(session, test)}
        custody = [*test.file["custody"], _custody(session, test)]
        return {**record, "campaign": {**test.file, "custody": custody}}


def record_of_test(session: Session, test: StoredTest) -> dict[str, Any]:
    """Return the record of a test: as approved, as entered, or as it stands."""
    if test.stage in ("approved", "superseded") and test.row.result_id is not None:
        return current_result(session, test).record
    return stored_record(session, test)


def imported_view(test: StoredTest) -> dict[str, Any] | None:
    """Return where an entered record came from, and how the test stood there by the file's own word.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    dict or None
        None for a test that is conducted here, or has no record yet.
    """
    if test.entered is None:
        return None
    file = test.file
    approvals = test.told("approval")
    return _came(test, test.entered) | {
        "stage_there": None if file is None else file["test"]["stage"],
        "approved_there_by": approvals[-1].get("name") if approvals else None,
    }


def _campaign(session: Session, test: StoredTest) -> dict[str, Any]:
    documents = {name: tests.find_document(session, test.row.id, kind) for kind, name in _DOCUMENTS.items()}
    work_list = documents.pop("preparations")
    return {
        "test": _facts(test),
        **{name: None if row is None else row.document for name, row in documents.items()},
        "preparations": None if work_list is None else work_list.document["items"],
        "versions": _versions(session, test),
        "entries": [_entry(row) for row in test.history],
        "boundary_register": to_document(list(in_force(decisions_of(session, test.row.vessel_id), test.date).values())),
        "actions": _actions(session, test),
        "result": _result(session, test),
        "custody": [],
    }


def _custody(session: Session, test: StoredTest) -> dict[str, Any]:
    came = {} if test.entered is None else _came(test, test.entered)
    return came | {
        "test": _facts(test),
        "versions": _versions(session, test),
        "entries": [_entry(row) for row in test.history],
        "actions": _actions(session, test),
        "result": _result(session, test),
    }


def _came(test: StoredTest, row: TestDocument) -> dict[str, Any]:
    return {
        "source": test.row.record_source,
        "sha256": row.sha256,
        "imported_at": row.recorded_at.isoformat(),
        "imported_by": row.recorded_by,
    }


def _facts(test: StoredTest) -> dict[str, Any]:
    row = test.row
    names = ("id", "kind", "origin", "title", "record_source", "stage", "supersedes")
    found = {name: getattr(row, name) for name in names}
    return found | {"opened_at": row.created_at.isoformat(), "opened_by": row.created_by}


def _versions(session: Session, test: StoredTest) -> list[dict[str, Any]]:
    """Every version of every document; the newest without content, since the file has that in its own place."""
    rows = session.scalars(
        select(TestDocument)
        .where(TestDocument.test_id == test.row.id)
        .order_by(TestDocument.kind, TestDocument.version)
    ).all()
    newest = {row.kind: row.version for row in rows}
    return [_version(row, whole=row.version != newest[row.kind]) for row in rows]


def _version(row: TestDocument, *, whole: bool) -> dict[str, Any]:
    found = {name: getattr(row, name) for name in ("kind", "version", "sha256", "recorded_by")}
    found["recorded_at"] = row.recorded_at.isoformat()
    return found | ({"document": row.document} if whole else {})


def _entry(row: TestEntry) -> dict[str, Any]:
    names = ("id", "kind", "document", "corrects", "withdrawn", "reason", "recorded_by")
    return {name: getattr(row, name) for name in names} | {"recorded_at": row.recorded_at.isoformat()}


def _actions(session: Session, test: StoredTest) -> list[dict[str, Any]]:
    rows: Sequence[FollowUp] = session.scalars(
        select(FollowUp).where(FollowUp.test_id == test.row.id).order_by(FollowUp.id)
    ).all()
    names = ("id", "text", "owner", "opened_by", "closed_by", "evidence")
    return [
        {name: getattr(row, name) for name in names}
        | {
            "due": row.due.isoformat(),
            "opened_at": row.opened_at.isoformat(),
            "closed_at": None if row.closed_at is None else row.closed_at.isoformat(),
        }
        for row in rows
    ]


def _result(session: Session, test: StoredTest) -> dict[str, Any] | None:
    if test.row.result_id is None:
        return None
    row = get_computation(session, test.row.result_id)
    light = row.result["lightship"]
    names = ("id", "service_version", "method_version", "rule_set", "computed_by")
    return {name: getattr(row, name) for name in names} | {
        "lightship": {name: light[name] for name in ("mass_t", "lcg_m", "tcg_m", "vcg_m", "method")},
        "record_sha256": row.inputs_sha256,
        "computed_at": row.computed_at.isoformat(),
    }
