"""Record what is read on board, state by state and by several recorders, and say where the test stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_service.core.ballast import check_ballast_move
from heelwright_service.core.campaign.readiness import Waiver, check_waiver
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.liquids import sounded_tanks
from heelwright_service.core.readings import read_tangents
from heelwright_service.core.record import (
    BallastMove,
    DraughtReading,
    FreeboardReading,
    Instrument,
    Reading,
    Sounding,
    State,
)
from heelwright_service.core.waterline import WaterPoints, refuse_water_off_hull, water_points
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.assemble_record import soundings_that_count
from heelwright_service.usecases.enter_in_test import Entered, Sense, add_entry
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest, load_test
from heelwright_service.usecases.test_evidence import Moment, open_procedure_failures
from heelwright_service.usecases.weigh_readiness import points_after, points_before, running

STANDING_WAIVERS = ("model-acceptance", "advisory-survey")
"""What may be waived although it is no point of the readiness: the stages ask for it."""


def record(work: UnitOfWork, caller: Caller, test_id: str, kind: str, entered: Entered) -> dict[str, Any]:
    """Record one thing read on board, checked against the ship and the test.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who records it.
    test_id : str
        The test.
    kind : str
        What it is: water, draught, freeboard, sounding, person, weight, instrument, state, ballast-move, reading,
        weather, permit.
    entered : Entered
        The facts, and what they correct.

    Returns
    -------
    dict
        The entry as stored.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    ConflictError
        When the test day is closed or not there yet, or the same thing stands already.
    CoreError
        When the ship has no such mark, tank, instrument or state, or the value cannot be meant.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        return add_entry(work, session, caller, test, kind, entered, _SENSE.get(kind))


def read_running(work: UnitOfWork, caller: Caller, test_id: str) -> dict[str, Any]:
    """Return the running plot: GM so far, residuals, zero returns, what to read again, whether one may stop.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    InvalidError
        For a lightweight survey, which has no readings.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
    if test.kind != "inclining-test" or test.origin == "entered-record":
        raise InvalidError("no-running-test", "only an inclining test that is conducted here runs state by state")
    found: dict[str, Any] = to_document(running(test))
    return found


def waive(work: UnitOfWork, caller: Caller, test_id: str, waiver: dict[str, Any]) -> dict[str, Any]:
    """Record that somebody takes a point on himself, by name and with the reason.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who records it.
    test_id : str
        The test.
    waiver : dict
        ``point``, ``name`` and ``reason``.

    Returns
    -------
    dict
        The entry as stored.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    CoreError
        When nothing of that name stands in the way, or it guards people's lives.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        moment = Moment.now(caller)
        others = (*STANDING_WAIVERS, *open_procedure_failures(test, moment.at[:10]))
        if waiver["point"] not in others:
            points = [*points_before(test, moment.at), *points_after(test, moment.at)]
            check_waiver(from_document(Waiver, waiver), points)
        return add_entry(work, session, caller, test, "waiver", Entered(waiver))


def _reading(test: StoredTest, document: Mapping[str, Any]) -> None:
    states = sorted(each.number for each in test.all_of("state", State))
    try:
        read_tangents(test.all_of("instrument", Instrument), [from_document(Reading, document)], states)
    except CoreError as error:
        raise _of_one(error, "/readings/0") from error


def _sounding(test: StoredTest, document: Mapping[str, Any]) -> None:
    planned = {tank.tank for tank in test.tank_plan.tanks} if test.tank_plan is not None else set()
    known = {tank.name for tank in test.tanks}
    if document["tank"] in planned - known and document["state"] == "empty":
        return  # a void without a table: nothing can be computed of it, and nothing need be
    try:
        sounded_tanks(test.tanks, [from_document(Sounding, document)])
    except CoreError as error:
        raise _of_one(error, "/soundings/0") from error


def _draught(test: StoredTest, document: Mapping[str, Any]) -> None:
    try:
        _on_hull(test, water_points(test.marks, [from_document(DraughtReading, document)], []))
    except CoreError as error:
        raise _of_one(error, "/draughts/0") from error


def _freeboard(test: StoredTest, document: Mapping[str, Any]) -> None:
    try:
        _on_hull(test, water_points((), [], [from_document(FreeboardReading, document)]))
    except CoreError as error:
        raise _of_one(error, "/freeboards/0") from error


def _on_hull(test: StoredTest, points: WaterPoints) -> None:
    hull = test.hull()
    if hull is not None:
        refuse_water_off_hull(points, hull.depth_limits_m)


def _state(test: StoredTest, document: Mapping[str, Any]) -> None:
    ids = {weight["id"] for weight in test.documents("weight")}
    placed = set(document["positions"])
    if placed != ids:
        wrong = sorted(placed ^ ids)
        message = f"A state places every weight and no other; look at {', '.join(wrong)} among {sorted(ids)}."
        raise CoreError("weight-placing", message, "/positions")


def _ballast_move(test: StoredTest, document: Mapping[str, Any]) -> None:
    """Whether the balance of both tanks holds is told when the heels are read; what cannot be is refused at once."""
    known = {tank.name for tank in test.tanks}
    found = [from_document(Sounding, each) for name, each in soundings_that_count(test).items() if name in known]
    states = sorted(each.number for each in test.all_of("state", State))
    try:
        check_ballast_move(from_document(BallastMove, document), sounded_tanks(test.tanks, found), states)
    except CoreError as error:
        raise _of_one(error, "/ballast_moves/0") from error


def _instrument(test: StoredTest, document: Mapping[str, Any]) -> None:
    if document["kind"] == "inclinometer" and document.get("length_m") is not None:
        message = "An inclinometer reads degrees and has no length; leave it out."
        raise CoreError("instrument-length-not-allowed", message, "/length_m")


def _of_one(error: CoreError, prefix: str) -> CoreError:
    """The same error with its pointer into the one thing that was sent."""
    return CoreError(error.code, error.message, error.pointer.removeprefix(prefix))


_SENSE: Mapping[str, Sense] = {
    "reading": _reading,
    "sounding": _sounding,
    "draught": _draught,
    "freeboard": _freeboard,
    "state": _state,
    "ballast-move": _ballast_move,
    "instrument": _instrument,
}
