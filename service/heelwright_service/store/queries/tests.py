"""Find stored tests, read and append their documents and entries, and what follows from them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.paging import Page, page_by_id
from heelwright_service.store.queries.vessels import Scope
from heelwright_service.store.tables import (
    BoundaryDecision,
    FollowUp,
    StabilityTest,
    TestDocument,
    TestEntry,
    Vessel,
)


def get_test(session: Session, test_id: str, scope: Scope, *, lock: bool = False) -> StabilityTest:
    """Return one test of a vessel within the scope; one outside it is not found.

    Parameters
    ----------
    session : Session
        An open session.
    test_id : str
        The test's identifier.
    scope : Scope
        What the caller may see.
    lock : bool
        Keep others from entering anything into it until the transaction ends.

    Returns
    -------
    StabilityTest
        The row.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    """
    test = session.get(StabilityTest, test_id, with_for_update=lock, populate_existing=lock)
    vessel = None if test is None else session.get(Vessel, test.vessel_id)
    if test is None or vessel is None or not scope.sees(vessel):
        raise NotFoundError("test-not-found", f"there is no test {test_id}; list them with GET /v1/tests")
    return test


def page_tests(
    session: Session, scope: Scope, *, vessel_id: str | None, stage: str | None, cursor: str | None, limit: int
) -> Page[StabilityTest]:
    """Return one page of the tests of vessels within the scope, of one vessel or stage where these are given."""
    tests = select(StabilityTest)
    if scope.limited:
        tests = tests.where(StabilityTest.vessel_id.in_(scope.narrow(select(Vessel)).with_only_columns(Vessel.id)))
    if vessel_id is not None:
        tests = tests.where(StabilityTest.vessel_id == vessel_id)
    if stage is not None:
        tests = tests.where(StabilityTest.stage == stage)
    return page_by_id(session, tests, StabilityTest.id, cursor, limit)


def find_document(session: Session, test_id: str, kind: str, version: int | None = None) -> TestDocument | None:
    """Return one version of a test's document, the newest by default, or None."""
    wanted = select(TestDocument).where(TestDocument.test_id == test_id, TestDocument.kind == kind)
    if version is not None:
        wanted = wanted.where(TestDocument.version == version)
    return session.scalars(wanted.order_by(TestDocument.version.desc()).limit(1)).first()


def current_document_version(session: Session, test_id: str, kind: str) -> int:
    """Return the newest version of a test's document, 0 when there is none."""
    newest = select(func.max(TestDocument.version)).where(TestDocument.test_id == test_id, TestDocument.kind == kind)
    return session.scalar(newest) or 0


def authors_of_document(session: Session, test_id: str, kind: str) -> frozenset[str]:
    """Return everybody who stored a version of a test's document."""
    wanted = select(TestDocument.recorded_by).where(TestDocument.test_id == test_id, TestDocument.kind == kind)
    return frozenset(session.scalars(wanted.distinct()))


def append_test_document(
    session: Session, test_id: str, kind: str, version: int, document: dict[str, Any], recorded_by: str
) -> TestDocument:
    """Store a new version of a test's document with its digest."""
    row = TestDocument(
        test_id=test_id,
        kind=kind,
        version=version,
        document=document,
        sha256=sha256_of(document),
        recorded_by=recorded_by,
    )
    session.add(row)
    session.flush()
    return row


def get_entry(session: Session, test_id: str, entry_id: str, kinds: Sequence[str] | None = None) -> TestEntry:
    """Return one entry of a test, of one of some kinds where these are given.

    Raises
    ------
    NotFoundError
        When the test has no such entry.
    """
    found = session.get(TestEntry, entry_id)
    if found is None or found.test_id != test_id or (kinds is not None and found.kind not in kinds):
        raise NotFoundError("entry-not-found", f"this test has no such entry {entry_id}")
    return found


def page_entries(session: Session, test_id: str, kind: str, cursor: str | None, limit: int) -> Page[TestEntry]:
    """Return one page of a test's entries of a kind in the order of their making, corrected ones included."""
    rows = select(TestEntry).where(TestEntry.test_id == test_id, TestEntry.kind == kind)
    return page_by_id(session, rows, TestEntry.id, cursor, limit)


def all_entries(session: Session, test_id: str) -> Sequence[TestEntry]:
    """Return every entry of a test in the order of their making."""
    return session.scalars(select(TestEntry).where(TestEntry.test_id == test_id).order_by(TestEntry.id)).all()


def standing_entries(session: Session, test_id: str, kind: str) -> Sequence[TestEntry]:
    """Return the entries of a kind that stand: neither corrected nor withdrawn."""
    later = aliased(TestEntry)
    rows = (
        select(TestEntry)
        .where(TestEntry.test_id == test_id, TestEntry.kind == kind, TestEntry.withdrawn.is_(False))
        .where(~select(later.id).where(later.corrects == TestEntry.id).exists())
        .order_by(TestEntry.id)
    )
    return session.scalars(rows).all()


def correcting_entries(session: Session, ids: Iterable[str]) -> dict[str, str]:
    """Return, of some entries, which were corrected and by which."""
    rows = session.execute(select(TestEntry.corrects, TestEntry.id).where(TestEntry.corrects.in_(list(ids))))
    return {old: new for old, new in rows if old is not None}


def boundary_decisions(session: Session, vessel_id: str) -> Sequence[BoundaryDecision]:
    """Return every decision on a vessel's lightship boundary in the order of their making."""
    rows = select(BoundaryDecision).where(BoundaryDecision.vessel_id == vessel_id).order_by(BoundaryDecision.id)
    return session.scalars(rows).all()


def get_follow_up(session: Session, follow_up_id: str, scope: Scope) -> FollowUp:
    """Return one follow-up of a vessel within the scope.

    Raises
    ------
    NotFoundError
        When there is no such follow-up for this caller.
    """
    found = session.get(FollowUp, follow_up_id)
    vessel = None if found is None else session.get(Vessel, found.vessel_id)
    if found is None or vessel is None or not scope.sees(vessel):
        raise NotFoundError("action-not-found", f"there is no action {follow_up_id}; list them with GET /v1/actions")
    return found


def page_follow_ups(
    session: Session, scope: Scope, *, vessel_id: str | None, open_only: bool, cursor: str | None, limit: int
) -> Page[FollowUp]:
    """Return one page of the follow-ups of vessels within the scope, of one vessel or the open ones where asked."""
    rows = select(FollowUp)
    if scope.limited:
        rows = rows.where(FollowUp.vessel_id.in_(scope.narrow(select(Vessel)).with_only_columns(Vessel.id)))
    if vessel_id is not None:
        rows = rows.where(FollowUp.vessel_id == vessel_id)
    if open_only:
        rows = rows.where(FollowUp.closed_at.is_(None))
    return page_by_id(session, rows, FollowUp.id, cursor, limit)


def open_follow_ups(session: Session, test_id: str) -> Sequence[FollowUp]:
    """Return the open follow-ups of a test."""
    return session.scalars(
        select(FollowUp).where(FollowUp.test_id == test_id, FollowUp.closed_at.is_(None)).order_by(FollowUp.id)
    ).all()


def open_follow_up(
    session: Session, test: StabilityTest, text: str, owner: str, due: datetime.date, opened_by: str
) -> FollowUp:
    """Store a follow-up of a test."""
    row = FollowUp(vessel_id=test.vessel_id, test_id=test.id, text=text, owner=owner, due=due, opened_by=opened_by)
    session.add(row)
    session.flush()
    return row
