"""Enter departures from the procedure with their price, and let a named person accept, mend or postpone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
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
from heelwright_service.usecases.computing import Turns
from heelwright_service.usecases.enter_in_test import Entered, add_entry
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest, load_test

UNPRICED = "other"
_SLIPS = ("deviation-size-impossible", "deviation-size-foreign")
"""Refusals to price that mean a slip of the pen; others mean that the test cannot be computed yet."""

_SIZES = tuple(name for name in Deviation.__dataclass_fields__ if name != "kind")


@dataclass(frozen=True)
class _Basis:
    """What a departure is priced on: the record of its test, or why there is none yet."""

    record: Mapping[str, Any] | None
    absent: str = ""

    @classmethod
    def of(cls, session: Session, test: StoredTest) -> _Basis:
        try:
            return cls(stored_record(session, test))
        except InvalidError as error:
            return cls(None, error.message)


@dataclass(frozen=True)
class _Priced:
    """A departure with its price, worked out before others had to wait for it."""

    deviation: Mapping[str, Any]
    basis: _Basis
    price: Mapping[str, Any]

    @classmethod
    def on(cls, turns: Turns, deviation: Mapping[str, Any], basis: _Basis) -> _Priced:
        """Price it, which takes a second on a ship with many tanks: not while others wait to write."""
        with turns.turn():
            return cls(deviation, basis, _priced(basis, deviation))

    def for_test(self, session: Session, test: StoredTest) -> Mapping[str, Any]:
        """Return the price on a test as it now stands; worked out anew where something was entered since."""
        basis = _Basis.of(session, test)
        return self.price if basis == self.basis else _priced(basis, self.deviation)


def enter_deviation(
    work: UnitOfWork, turns: Turns, caller: Caller, test_id: str, entered: Entered
) -> Callable[[], dict[str, Any]]:
    """Price a departure from the procedure where the test can be computed already, and return what enters it.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions; the pricing runs between reading and entering, so that recorders need not wait.
    turns : Turns
        The queue of computations.
    caller : Caller
        Who enters it.
    test_id : str
        The test.
    entered : Entered
        Its kind, text and size.

    Returns
    -------
    callable
        Enters it and returns the entry with its ``price``, or why there is none yet.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    CoreError
        When the kind is not known, a size that it needs is missing, or this ship cannot have it.
    """
    _check(entered.document)
    with work.transaction(read_only=True) as session:
        basis = _Basis.of(session, load_test(session, caller, test_id))
    priced = _Priced.on(turns, entered.document, basis)

    def keep() -> dict[str, Any]:
        with work.transaction() as session:
            test = load_test(session, caller, test_id, lock=True)
            document = {**entered.document, **priced.for_test(session, test)}
            return add_entry(work, session, caller, test, "deviation", replace(entered, document=document))

    return keep


def decide(
    work: UnitOfWork, turns: Turns, caller: Caller, test_id: str, deviation_id: str, entered: Entered
) -> Callable[[], dict[str, Any]]:
    """Find the price at which a departure is accepted, mended or postponed for, and return what enters the decision.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions; a departure without a price is priced between reading and entering.
    turns : Turns
        The queue of computations.
    caller : Caller
        Who records the decision.
    test_id : str
        The test.
    deviation_id : str
        The departure.
    entered : Entered
        ``decision``, ``name``, and optionally ``witness`` and ``remarks``; what the decision corrects, if it does.

    Returns
    -------
    callable
        Enters it and returns the entry, with the price that the decision was taken on.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no such departure.
    ConflictError
        When it was decided already; the newer decision corrects the older.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
        deviation = tests.get_entry(session, test.row.id, deviation_id, ("deviation",)).document
        basis = _Basis.of(session, test)
    priced = None if deviation.get("price") else _Priced.on(turns, deviation, basis)

    def keep() -> dict[str, Any]:
        with work.transaction() as session:
            test = load_test(session, caller, test_id, lock=True)
            price = deviation["price"] if priced is None else priced.for_test(session, test)["price"]
            document = {**entered.document, "deviation": deviation_id, "price": price}
            return add_entry(work, session, caller, test, "decision", replace(entered, document=document))

    return keep


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


def _priced(basis: _Basis, document: Mapping[str, Any]) -> dict[str, Any]:
    if document["kind"] == UNPRICED:
        return {"price": None, "not_priced": "no model prices this kind; say in words what it does"}
    if basis.record is None:
        return {"price": None, "not_priced": basis.absent}
    sizes = {name: document[name] for name in _SIZES if document.get(name) is not None}
    try:
        record = from_document(TestRecord, basis.record)
        found = price_deviations(record, [from_document(Deviation, {"kind": document["kind"], **sizes})])
    except CoreError as error:
        if error.code in _SLIPS:
            raise CoreError(error.code, error.message, error.pointer.removeprefix("/deviations/0")) from error
        return {"price": None, "not_priced": error.message}
    return {"price": cast(dict[str, Any], to_document(found.items[0])), "not_priced": None}
