"""Review a test's result, answer the findings, and make what the ship needs before she sails."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.interim import interim_request, put_back
from heelwright_service.core.campaign.review_document import unanswered
from heelwright_service.core.campaign.tank_document import TankPlan
from heelwright_service.core.documents import to_document
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.enter_in_test import Entered, add_entry
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_results import current_result, review_answers, review_findings


def read_review(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """Return the automatic review of a test's result, with the answers and what is still open.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no result yet.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
        findings = review_findings(session, test)
    answers = review_answers(test)
    return {
        "findings": to_document(findings),
        "answers": to_document(answers),
        "open": [each.id for each in unanswered(findings, answers)],
    }


def answer_finding(work: UnitOfWork, caller: Caller, test_id: str, entered: Entered) -> Callable[[], dict[str, Any]]:
    """Look a finding of the review up, and return what answers it by name.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions: record and result are parsed before others have to wait.
    caller : Caller
        Who records the answer.
    test_id : str
        The test.
    entered : Entered
        ``finding``, ``text`` and ``by``, and what the answer corrects.

    Returns
    -------
    callable
        Enters the answer and returns it as stored.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no result yet.
    InvalidError
        When the review has no such finding.
    ConflictError
        When it was answered already, or the test is not under review.
    """
    with work.transaction(read_only=True) as session:
        _check_finding(session, load_test(session, caller, test_id), entered)

    def keep() -> dict[str, Any]:
        with work.transaction() as session:
            test = load_test(session, caller, test_id, lock=True)
            _check_finding(session, test, entered)
            return add_entry(work, session, caller, test, "review-answer", entered)

    return keep


def _check_finding(session: Session, test: StoredTest, entered: Entered) -> None:
    known = {finding.id for finding in review_findings(session, test)}
    if entered.document["finding"] not in known:
        message = f"the review has no finding {entered.document['finding']}; it has {', '.join(sorted(known))}"
        raise InvalidError("finding-not-found", message, "/finding")


def ask_for_interim(work: UnitOfWork, caller: Caller, test_id: str, wanted: dict[str, Any]) -> dict[str, Any]:
    """Put together the request for an interim operating condition, and keep that it was asked for.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who asks.
    test_id : str
        The test.
    wanted : dict
        ``limits``, and optionally ``expiry_days``.

    Returns
    -------
    dict
        The page's facts; it says that it is no approval.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no result yet.
    ConflictError
        When the test has no preliminary result, or is approved.
    CoreError
        Without limits, an uncertainty or a VCG.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        found = current_result(session, test)
        record = found.parsed_record
        date = record.test.date or found.row.computed_at.date().isoformat()
        options = {"expiry_days": wanted["expiry_days"]} if wanted.get("expiry_days") is not None else {}
        asked = interim_request(found.result, date, wanted["limits"], record.vessel.approved_lightship, **options)
        page: dict[str, Any] = to_document(asked) | {"result": found.row.id, "vessel": test.vessel.name, "date": date}
        return add_entry(work, session, caller, test, "interim-request", Entered(page))


def read_put_back(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """List what has to be brought back before the ship sails; surplus of the advisory survey counts as landed.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
    still_there = {item.carried_from for item in test.items()}
    advisory = [item for item in test.items("advisory") if item.kind == "surplus"]
    landed = [item for item in advisory if item.id not in still_there]
    rows = put_back(test.tank_plan or TankPlan([]), test.preparations, landed)
    return {"items": to_document(rows), "next_cursor": None}
