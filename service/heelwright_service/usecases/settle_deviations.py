"""Enter departures from the procedure with their price, and let a named person accept, mend or postpone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from sqlalchemy.orm import Session

from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import TestRecord
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviation_kinds import KINDS
from heelwright_service.core.uncertainty.deviations import price_deviations
from heelwright_service.store.queries import tests
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.assemble_record import stored_record
from heelwright_service.usecases.enter_in_test import Entered, add_entry
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest, load_test

UNPRICED = "other"
_SLIPS = ("deviation-size-impossible", "deviation-size-foreign")
"""Refusals to price that mean a slip of the pen; others mean that the test cannot be computed yet."""

_SIZES = tuple(name for name in Deviation.__dataclass_fields__ if name != "kind")


def enter_deviation(work: UnitOfWork, caller: Caller, test_id: str, entered: Entered) -> dict[str, Any]:
    """Enter a departure from the procedure; its price comes at once where the test can be computed already.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who enters it.
    test_id : str
        The test.
    entered : Entered
        Its kind, text and size.

    Returns
    -------
    dict
        The entry with its ``price``, or why there is none yet.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    CoreError
        When the kind is not known, a size that it needs is missing, or this ship cannot have it.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        if not entered.withdrawn:
            _check(entered.document)
            entered = Entered(
                {**entered.document, **_priced(session, test, entered.document)},
                entered.corrects,
                entered.withdrawn,
                entered.reason,
            )
        return add_entry(work, session, caller, test, "deviation", entered)


def decide(
    work: UnitOfWork, caller: Caller, test_id: str, deviation_id: str, decision: Mapping[str, Any], entered: Entered
) -> dict[str, Any]:
    """Accept, mend or postpone a departure, by name.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who records the decision.
    test_id : str
        The test.
    deviation_id : str
        The departure.
    decision : Mapping
        ``decision``, ``name``, and optionally ``witness`` and ``remarks``.
    entered : Entered
        What the decision corrects, if it does.

    Returns
    -------
    dict
        The entry, with the price that the decision was taken on.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no such departure.
    ConflictError
        When it was decided already; the newer decision corrects the older.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        row = tests.get_entry(session, test.row.id, deviation_id, ("deviation",))
        price = row.document.get("price") or _priced(session, test, row.document)["price"]
        document = {**decision, "deviation": row.id, "price": price}
        return add_entry(
            work, session, caller, test, "decision", Entered(document, entered.corrects, reason=entered.reason)
        )


def _check(document: Mapping[str, Any]) -> None:
    kind = document["kind"]
    if kind == UNPRICED:
        return
    if kind not in KINDS:
        known = ", ".join([*sorted(KINDS), UNPRICED])
        raise InvalidError("deviation-unknown", f"{kind} is no kind of deviation; known are {known}", "/kind")
    absent = next((name for name in KINDS[kind].needs if document.get(name) is None), None)
    if absent is not None:
        raise InvalidError("deviation-size-missing", f"{KINDS[kind].text} needs its size: {absent}", f"/{absent}")


def _priced(session: Session, test: StoredTest, document: Mapping[str, Any]) -> dict[str, Any]:
    if document["kind"] == UNPRICED:
        return {"price": None, "not_priced": "no model prices this kind; say in words what it does"}
    sizes = {name: document[name] for name in _SIZES if document.get(name) is not None}
    try:
        record = from_document(TestRecord, stored_record(session, test))
        found = price_deviations(record, [from_document(Deviation, {"kind": document["kind"], **sizes})])
    except InvalidError as error:
        return {"price": None, "not_priced": error.message}
    except CoreError as error:
        if error.code in _SLIPS:
            raise CoreError(error.code, error.message, error.pointer.removeprefix("/deviations/0")) from error
        return {"price": None, "not_priced": error.message}
    return {"price": cast(dict[str, Any], to_document(found.items[0])), "not_priced": None}
