"""Generate the ship's work list, keep it in step with the plan, tick its items and add to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.preparations import Preparation, merge, not_needed, overdue, work_list
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.store.base import new_id, utc_now
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.queries import tests
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.preconditions import ANY
from heelwright_service.usecases.price_preparations import Prices
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_documents import StoredPlan, refuse_after_test_day, store_document


def generate(work: UnitOfWork, caller: Caller, test_id: str, today: str) -> Callable[[], dict[str, Any]]:
    """Price the work list that plan and tank plan ask for, and return what stores it or brings it into step.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions; the pricing runs between reading and storing.
    caller : Caller
        Who asks for it.
    test_id : str
        The test.
    today : str
        The day of the question, ISO 8601.

    Returns
    -------
    callable
        Stores the list, in which ticks stay, and returns it as :func:`read_list` gives it.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        When there is no tank plan to generate from.
    ConflictError
        When the test day is over.
    """
    with work.transaction(read_only=True) as session:
        seen = load_test(session, caller, test_id)
    refuse_after_test_day(seen)
    prices = Prices.on(seen)

    def keep() -> dict[str, Any]:
        with work.transaction() as session:
            test = load_test(session, caller, test_id, lock=True)
            refuse_after_test_day(test)
            stored = bring_into_step(work, session, caller, test, prices)
        return _view(stored, today)

    return keep


def bring_into_step(work: UnitOfWork, session: Session, caller: Caller, test: StoredTest, prices: Prices) -> StoredPlan:
    """Store the work list that a test's plans now ask for; nothing ticked is lost."""
    if test.tank_plan is None:
        raise InvalidError("tank-plan-missing", "the work list follows the tank plan; store that first", "/tank-plan")
    items = merge(test.preparations, work_list(test.plan, test.tank_plan, prices.for_test(test)))
    return _store(work, session, caller, test, items)


def read_list(work: UnitOfWork, caller: Caller, test_id: str, today: str) -> dict[str, Any]:
    """Return the work list with its version, what is overdue, and what is not needed.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no list yet.
    """
    with work.transaction(read_only=True) as session:
        row = tests.get_test(session, test_id, caller.scope)
        found = tests.find_document(session, row.id, "preparations")
        if found is None:
            message = "there is no work list yet; generate it with POST /preparations"
            raise NotFoundError("document-not-found", message)
        return _view(StoredPlan(found.document, found.version), today)


def mark(work: UnitOfWork, caller: Caller, test_id: str, marks: dict[str, Any], today: str) -> dict[str, Any]:
    """Tick, verify, waive, reopen or remark on an item; several people may at once.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who marks it; waiving and verifying need a planner.
    test_id : str
        The test.
    marks : dict
        ``key``, ``state``, and optionally ``done_by`` and ``remarks``.
    today : str
        The day of the question, ISO 8601.

    Returns
    -------
    dict
        The list as it now is.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        When the list has no such item.
    ForbiddenError
        When a recorder waives or verifies.
    ConflictError
        When the test day is over.
    """
    if marks["state"] in ("waived", "verified"):
        caller.must_be("planner", f"marking an item {marks['state']}")
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        refuse_after_test_day(test)
        if marks["key"] not in {item.key for item in test.preparations}:
            raise InvalidError("item-not-found", f"the work list has no item {marks['key']}", "/key")
        items = [_marked(item, caller, marks) if item.key == marks["key"] else item for item in test.preparations]
        stored = _store(work, session, caller, test, items)
    return _view(stored, today)


def add_item(work: UnitOfWork, caller: Caller, test_id: str, facts: dict[str, Any], today: str) -> dict[str, Any]:
    """Add an item of one's own to the work list.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    ConflictError
        When the test day is over.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        refuse_after_test_day(test)
        item = from_document(Preparation, {**facts, "key": f"own/{new_id()}", "added_by": caller.name})
        stored = _store(work, session, caller, test, [*test.preparations, item])
    return _view(stored, today)


def _marked(item: Preparation, caller: Caller, marks: dict[str, Any]) -> Preparation:
    return replace(
        item,
        state=marks["state"],
        done_by=marks.get("done_by") or caller.name,
        done_at=utc_now().isoformat(timespec="seconds"),
        remarks=marks.get("remarks") or item.remarks,
    )


def _store(
    work: UnitOfWork, session: Session, caller: Caller, test: StoredTest, items: list[Preparation]
) -> StoredPlan:
    return store_document(work, session, caller, test, "preparations", ANY, {"items": to_document(items)})


def _view(stored: StoredPlan, today: str) -> dict[str, Any]:
    items = [from_document(Preparation, item) for item in stored.document["items"]]
    return {
        "version": stored.version,
        "items": stored.document["items"],
        "overdue": [item.key for item in overdue(items, today)],
        "not_needed": list(not_needed()),
    }
