"""Keep the documents of a test: plan, tank plan, work list and entered record, each in versions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.errors import ConflictError, NotFoundError
from heelwright_service.store.queries import tests
from heelwright_service.store.tables import StabilityTest
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.preconditions import Expected
from heelwright_service.usecases.stored_tests import StoredTest, document_of_file


@dataclass(frozen=True)
class StoredPlan:
    """One version of a document of a test."""

    document: dict[str, Any]
    version: int
    first: bool = False


def read_document(work: UnitOfWork, caller: Caller, test_id: str, kind: str, version: int | None = None) -> StoredPlan:
    """Return one version of a document of a test, the newest by default; of an imported test what its file has.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no such version.
    """
    with work.transaction(read_only=True) as session:
        row = tests.get_test(session, test_id, caller.scope)
        found = tests.find_document(session, row.id, kind, version)
        told = None if version else document_of_file(tests.find_document(session, row.id, "record"), kind)
        if found is None and told is not None:
            return StoredPlan(told, 0)
        if found is None:
            which = "none yet" if version is None else f"no version {version}"
            raise NotFoundError("document-not-found", f"this test has {which} of {kind}; store one with PUT")
        return StoredPlan(found.document, found.version)


def store_document(
    work: UnitOfWork,
    session: Session,
    caller: Caller,
    test: StoredTest,
    kind: str,
    expected: Expected,
    document: dict[str, Any],
) -> StoredPlan:
    """Store a new version of a document of a test; the same content again is no new version."""
    current = tests.find_document(session, test.row.id, kind)
    expected.check(0 if current is None else current.version)
    if current is not None and current.document == document:
        return StoredPlan(current.document, current.version)
    version = 1 if current is None else current.version + 1
    row = tests.append_test_document(session, test.row.id, kind, version, document, caller.name)
    tell(work, caller, test.row, "test.planned", {"kind": kind, "version": version, "sha256": row.sha256})
    return StoredPlan(document, version, first=version == 1)


def refuse_after_test_day(test: StoredTest) -> None:
    """Refuse to change what was planned once it has been carried out.

    Raises
    ------
    ConflictError
        When the test day is over.
    """
    if test.stage in ("preliminary-result", "under-review", "approved", "abandoned", "superseded"):
        message = f"this test is at {test.stage}: what was planned for it stays as it was"
        raise ConflictError("test-over", message)


def tell(work: UnitOfWork, caller: Caller, row: StabilityTest, kind: str, data: dict[str, Any]) -> None:
    """Tell the feed that something happened to a test."""
    work.emit(kind, f"/v1/tests/{row.id}", actor=caller.name, vessel_id=row.vessel_id, data=data)
