"""Enter something in a test, or correct what was entered: nothing is overwritten."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.errors import ConflictError, NotFoundError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import tests
from heelwright_service.store.tables import TestEntry
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.broken_off_days import last_break, of_the_day
from heelwright_service.usecases.entry_kinds import ABOARD, AFTERWARDS, ENTRY_KINDS, EntryKind
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_documents import tell

Sense = Callable[[StoredTest, Mapping[str, Any]], None]


@dataclass(frozen=True)
class Entered:
    """What is entered: the facts, and for a correction the old entry, the reason, and whether it only withdraws."""

    document: Mapping[str, Any]
    corrects: str | None = None
    withdrawn: bool = False
    reason: str | None = None

    @classmethod
    def of(cls, body: Mapping[str, Any]) -> Entered:
        """Part a request's facts from what it says of a correction."""
        facts = {name: value for name, value in body.items() if name not in ("corrects", "reason")}
        return cls(facts, body.get("corrects"), reason=body.get("reason") if body.get("corrects") else None)


def add_entry(
    work: UnitOfWork,
    session: Session,
    caller: Caller,
    test: StoredTest,
    kind: str,
    entered: Entered,
    sense: Sense | None = None,
) -> dict[str, Any]:
    """Enter something in a test that is locked, and return the entry.

    Parameters
    ----------
    work : UnitOfWork
        Tells the feed.
    session : Session
        Its transaction.
    caller : Caller
        Who enters it.
    test : StoredTest
        The test, locked.
    kind : str
        A key of :data:`ENTRY_KINDS`.
    entered : Entered
        What is entered.
    sense : callable, optional
        Refuses what cannot be meant, seen against the ship and the test.

    Returns
    -------
    dict
        The entry as stored.

    Raises
    ------
    ForbiddenError
        When the caller's role does not allow it.
    InvalidError
        When the entry to correct is not there.
    ConflictError
        When the test is not at a stage for it, when it was closed, or when the same thing stands already.
    """
    declared = ENTRY_KINDS[kind]
    caller.must_be(declared.role, f"entering a {kind}")
    old = _corrected(session, test, declared, entered)
    _refuse_out_of_stage(caller, test, declared, old)
    document = dict(old.document) if old is not None and entered.withdrawn else dict(entered.document)
    _refuse_twin(test, declared, document, entered)
    if sense is not None and not entered.withdrawn:
        sense(test, document)
    row = TestEntry(
        test_id=test.row.id,
        kind=kind,
        document=document,
        corrects=entered.corrects,
        withdrawn=entered.withdrawn,
        reason=entered.reason,
        recorded_by=caller.name,
        token_id=caller.token_id,
    )
    session.add(row)
    session.flush()
    tell(work, caller, test.row, "test.entered", {"kind": kind, "entry": row.id, "corrects": row.corrects})
    return entry_view(row, None)


def list_entries(
    work: UnitOfWork, caller: Caller, test_id: str, kind: str, *, limit: int, cursor: str | None = None
) -> Page[dict[str, Any]]:
    """Return one page of a test's entries of a kind, each with what corrects it.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    """
    with work.transaction(read_only=True) as session:
        test = tests.get_test(session, test_id, caller.scope)
        page = tests.page_entries(session, test.id, kind, cursor, limit)
        later = tests.correcting_entries(session, [row.id for row in page.items])
        last = last_break(tests.standing_entries(session, test.id, "stage"))
        return page.map(lambda row: entry_view(row, later.get(row.id), last))


def read_entry(work: UnitOfWork, caller: Caller, test_id: str, kind: str, entry_id: str) -> dict[str, Any]:
    """Return one entry of a test, with what corrects it.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no such entry of this kind.
    """
    with work.transaction(read_only=True) as session:
        test = tests.get_test(session, test_id, caller.scope)
        row = tests.get_entry(session, test.id, entry_id, (kind,))
        last = last_break(tests.standing_entries(session, test.id, "stage"))
        return entry_view(row, tests.correcting_entries(session, [row.id]).get(row.id), last)


def enter(work: UnitOfWork, caller: Caller, test_id: str, kind: str, entered: Entered) -> dict[str, Any]:
    """Enter something that needs no further check; see :func:`add_entry`."""
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        return add_entry(work, session, caller, test, kind, entered)


def withdraw(work: UnitOfWork, caller: Caller, test_id: str, kind: str, entry_id: str, reason: str) -> dict[str, Any]:
    """Take back an entry that should not have been made; it stays readable with the reason, and counts no more.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no such entry of this kind.
    ConflictError
        When it was corrected or withdrawn already, or the test is approved.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        tests.get_entry(session, test.row.id, entry_id, (kind,))
        return add_entry(work, session, caller, test, kind, Entered({}, entry_id, withdrawn=True, reason=reason))


def entry_view(row: TestEntry, corrected_by: str | None, last: TestEntry | None = None) -> dict[str, Any]:
    """Return an entry as plain data: what it says, then when, by whom, what it corrects, and whether it counts.

    Parameters
    ----------
    row : TestEntry
        The entry.
    corrected_by : str or None
        The entry that corrects it.
    last : TestEntry or None
        The last postponement that broke a day off.
    """
    made = {
        "entry_id": row.id,
        "corrects": row.corrects,
        "withdrawn": row.withdrawn,
        "correction_reason": row.reason,
        "recorded_at": row.recorded_at,
        "recorded_by": row.recorded_by,
        "corrected_by": corrected_by,
        "set_aside": last is not None and row.id < last.id and of_the_day(row),
    }
    return {"id": row.id, **row.document, **made}


def _corrected(session: Session, test: StoredTest, declared: EntryKind, entered: Entered) -> TestEntry | None:
    if entered.corrects is None:
        return None
    try:
        old = tests.get_entry(session, test.row.id, entered.corrects, (declared.name,))
    except NotFoundError as error:
        raise InvalidError(error.code, error.message, "/corrects") from error
    if old not in test.counting:
        message = "the day it was entered on was broken off; enter what is found now as new"
        raise ConflictError("set-aside", message, "/corrects")
    newer = next((entry.id for entry in test.history if entry.corrects == old.id), None)
    if newer is not None:
        message = f"that entry has been corrected already; name the newest one ({newer})"
        raise ConflictError("already-corrected", message, "/corrects")
    return old


def _refuse_out_of_stage(caller: Caller, test: StoredTest, declared: EntryKind, old: TestEntry | None) -> None:
    if test.origin == "entered-record" and declared.stages <= ABOARD:
        message = "this test was entered as a whole record; PUT a corrected record with its reason instead"
        raise ConflictError("record-entered-whole", message)
    closed = declared.closing is not None and test.closed(declared.closing)
    if old is not None and (closed or test.stage in AFTERWARDS):
        caller.must_be("planner", "correcting what was closed")
        _refuse_unless(test.stage in declared.stages | ABOARD | AFTERWARDS, test, declared)
        return
    if closed:
        message = f"the {declared.closing} is closed: no {declared.name} can be added; a planner may correct one"
        raise ConflictError(f"{declared.closing}-closed", message)
    _refuse_unless(test.stage in declared.stages, test, declared)


def _refuse_unless(allowed: bool, test: StoredTest, declared: EntryKind) -> None:
    if not allowed:
        stages = ", ".join(sorted(declared.stages))
        message = f"this test is at {test.stage}; a {declared.name} can be entered at {stages}"
        raise ConflictError("stage-not-open", message)


def _refuse_twin(test: StoredTest, declared: EntryKind, document: Mapping[str, Any], entered: Entered) -> None:
    if declared.key is None or entered.withdrawn:
        return
    wanted = declared.key(document)
    for row in test.standing(declared.name):
        if row.id != entered.corrects and declared.key(row.document) == wanted:
            what = ", ".join(str(part) for part in wanted if part is not None)
            of = f" of {what}" if what else ""
            message = f"a {declared.name}{of} stands already: name it in corrects ({row.id}) and give the reason"
            raise ConflictError("already-entered", message, "/corrects")
