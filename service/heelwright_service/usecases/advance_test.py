"""Move a test to another stage, close its survey and its test day, and take a fresh copy of the vessel."""

from __future__ import annotations

from typing import Any

from heelwright_service.core.campaign.stages import Stage, advance
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.tables import TestEntry
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.broken_off_days import read_on_it
from heelwright_service.usecases.enter_in_test import Entered, add_entry
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.plan_test import whole_view
from heelwright_service.usecases.preconditions import Expected
from heelwright_service.usecases.stored_tests import load_test
from heelwright_service.usecases.test_documents import tell
from heelwright_service.usecases.test_evidence import Moment, evidence_of
from heelwright_service.usecases.vessel_description import pin_vessel

BY_APPROVAL: tuple[Stage, ...] = ("approved", "superseded")


def move_to_stage(
    work: UnitOfWork, caller: Caller, test_id: str, expected: Expected, stage: Stage, reason: str | None = None
) -> dict[str, Any]:
    """Move a test to another stage, if its evidence is there.

    To postpone breaks the day off: what was read on it stays in the test with its names and times, and counts no more;
    the new day has to be another one in the plan, and everything is read anew on it.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who moves it.
    test_id : str
        The test.
    expected : Expected
        The versions that the caller has seen.
    stage : str
        The stage; approval is a call of its own.
    reason : str, optional
        Needed to postpone or abandon.

    Returns
    -------
    dict
        The test as it now is.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    StaleError
        When the test is not at an expected version.
    InvalidError
        When the stage is reached by approval alone.
    CoreError
        When the stage does not follow, or evidence lacks; the message says which.
    """
    if stage in BY_APPROVAL:
        raise InvalidError("stage-by-approval", f"{stage} is reached by PUT /approval alone", "/stage")
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        expected.check(test.row.version)
        moment = Moment.now(caller, reason)
        before = test.stage
        test.row.stage = advance(before, stage, evidence_of(session, test, moment))
        if stage == "procedure-issued":
            test.row.pinned = pin_vessel(session, test.vessel)
        document: dict[str, Any] = {"from": before, "to": stage} | ({} if reason is None else {"reason": reason})
        if stage == "postponed":
            document |= {"date": test.date, "set_aside": read_on_it(test.counting)}
        entry = TestEntry(
            test_id=test.row.id, kind="stage", document=document, recorded_by=caller.name, token_id=caller.token_id
        )
        session.add(entry)
        session.flush()
        tell(work, caller, test.row, "test.stage-changed", document)
        return whole_view(session, load_test(session, caller, test_id), moment)


def close(work: UnitOfWork, caller: Caller, test_id: str, closing: dict[str, Any]) -> dict[str, Any]:
    """Close the advisory survey, the survey or the test day by name: nothing can be added to it afterwards.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who closes it.
    test_id : str
        The test.
    closing : dict
        ``what`` and the ``name`` of who closes it.

    Returns
    -------
    dict
        The entry as stored.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    ConflictError
        When it is closed already, or the test is not there yet.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        wanted: dict[str, tuple[str, ...]] = {
            "advisory-survey": ("preparing", "advisory-survey", "survey-day", "test-day"),
            "survey": ("survey-day", "test-day"),
            "test-day": ("test-day", "survey-day") if test.kind == "inclining-test" else ("survey-day",),
        }
        if test.stage not in wanted[closing["what"]]:
            stages = " or ".join(wanted[closing["what"]])
            message = f"this test is at {test.stage}; the {closing['what']} can be closed at {stages}"
            raise ConflictError("stage-not-open", message)
        view = add_entry(work, session, caller, test, "closing", Entered(closing))
        tell(work, caller, test.row, f"test.{closing['what']}-closed", {"name": closing["name"]})
        return view


def pin_again(work: UnitOfWork, caller: Caller, test_id: str, expected: Expected) -> dict[str, Any]:
    """Take the vessel's current hull, table, marks, tanks and lightship for the test; its result has to be renewed.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    StaleError
        When the test is not at an expected version.
    ConflictError
        When the test is approved, or its record was entered whole with its own vessel.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        expected.check(test.row.version)
        if test.stage in ("approved", "abandoned", "superseded") or test.origin == "entered-record":
            message = f"this test is at {test.stage}: the vessel that it was reduced with stays as she was"
            raise ConflictError("test-over", message)
        test.row.pinned = pin_vessel(session, test.vessel)
        session.flush()
        tell(work, caller, test.row, "test.pinned", {"versions": test.row.pinned["versions"]})
        return whole_view(session, load_test(session, caller, test_id), Moment.now(caller))
