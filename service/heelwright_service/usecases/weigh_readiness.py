"""Whether a stored test can start and its people can leave, and the waivers that count."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_service.core.campaign.day_points import Day, WeatherSeen, leave_points, start_points
from heelwright_service.core.campaign.found_list import list_by_draughts_deg
from heelwright_service.core.campaign.readiness import Point, Readiness, Waiver, decide
from heelwright_service.core.campaign.running import Running, run_so_far
from heelwright_service.core.campaign.survey import check_totals, totals
from heelwright_service.core.campaign.tank_document import TankPlan
from heelwright_service.core.campaign.tanks_found import EntryPermit, TankFound
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.prepared_test import moved_water_t_m
from heelwright_service.core.record import IncliningWeight, Instrument, Reading, State, TestRecord
from heelwright_service.core.results import Check
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.assemble_record import assembled_record, soundings_that_count
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest, load_test


def read_readiness(work: UnitOfWork, caller: Caller, test_id: str, now: str) -> dict[str, Any]:
    """Answer whether the test can start and whether its people can leave.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who asks.
    test_id : str
        The test.
    now : str
        Time of the question, ISO 8601 with offset.

    Returns
    -------
    dict
        ``start`` and ``leave``, each with what blocks, what warns and what is waived.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
    return {
        "start": to_document(start_readiness(test, now)),
        "leave": to_document(leave_readiness(test, now)),
    }


def start_readiness(test: StoredTest, now: str) -> Readiness:
    """Return whether the first reading can be taken."""
    return decide(points_before(test, now), test.all_of("waiver", Waiver))


def leave_readiness(test: StoredTest, now: str) -> Readiness:
    """Return whether the ship can be left."""
    return decide(points_after(test, now), test.all_of("waiver", Waiver))


def points_before(test: StoredTest, now: str) -> list[Point]:
    """Return what stands in the way of the first reading."""
    return [*_unplanned(test), *start_points(_day(test, now), test.length_m)]


def points_after(test: StoredTest, now: str) -> list[Point]:
    """Return what stands in the way of leaving the ship."""
    return [*_unplanned(test), *leave_points(_day(test, now), test.length_m)]


def running(test: StoredTest) -> Running:
    """Return where the readings stand.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    Running
        By the planned displacement until the test is reduced.

    Raises
    ------
    CoreError
        Where water serves as weight and what is entered so far does not tell its moments.
    InvalidError
        The same, while no water was sampled or no draught was read.
    """
    expected = test.plan.expected
    moved = bool(test.documents("ballast-move"))
    return run_so_far(
        test.all_of("weight", IncliningWeight),
        test.all_of("state", State),
        test.all_of("instrument", Instrument),
        test.all_of("reading", Reading),
        None if expected is None else expected.displacement_t,
        moved_water_t_m(from_document(TestRecord, assembled_record(test))) if moved else None,
    )


def _running_or_none(test: StoredTest) -> Running | None:
    """Whatever keeps the moments of moved water from being known is told where the running plot is asked for."""
    try:
        return running(test)
    except (CoreError, InvalidError):
        if not test.documents("ballast-move"):
            raise
        return None


def open_deviations(test: StoredTest) -> list[str]:
    """Return the deviations that nobody has accepted or mended."""
    settled = {d["deviation"] for d in test.documents("decision") if d["decision"] in ("accept", "mend")}
    return [str(entry.document["text"]) for entry in test.standing("deviation") if entry.id not in settled]


def survey_totals(test: StoredTest) -> list[Check]:
    """Return surplus and missing items against their limits; empty while no lightship is assumed."""
    light = assumed_lightship_t(test)
    if light is None:
        return []
    aboard = sum(document["mass_t"] for kind in ("person", "weight") for document in test.documents(kind))
    return check_totals(totals(test.items(), light, aboard))


def assumed_lightship_t(test: StoredTest) -> float | None:
    """Return the lightship mass that percentages are taken of [t]: as planned, else the approved one."""
    expected, approved = test.plan.expected, test.description.get("approved_lightship")
    if expected is not None and expected.lightship_mass_t is not None:
        return expected.lightship_mass_t
    return None if approved is None else float(approved["mass_t"])


def _unplanned(test: StoredTest) -> list[Point]:
    if test.tank_plan is not None:
        return []
    return [Point("tank-plan", "There is no tank plan.", "Store one.", waivable=False, rule="K-15")]


def _day(test: StoredTest, now: str) -> Day:
    boards = test.documents("freeboard")
    sides = [sum(sign * board["y_m"] > 0.0 for board in boards) for sign in (1, -1)]
    inclining = test.kind == "inclining-test"
    return Day(
        kind=test.kind,
        plan=test.plan,
        tank_plan=test.tank_plan or TankPlan([]),
        preparations=test.preparations,
        soundings=[found_tank(test, document) for document in soundings_that_count(test).values()],
        permits=test.all_of("permit", EntryPermit),
        totals=survey_totals(test),
        persons_listed=bool(test.documents("person")),
        instruments=test.all_of("instrument", Instrument),
        weather=test.latest("weather", WeatherSeen),
        list_deg=_list_deg(test),
        draught_marks=len({document["mark"] for document in test.documents("draught")}),
        freeboards_a_side=min(sides),
        samples=len(test.documents("water")) + len(test.documents("probe")),
        running=_running_or_none(test) if inclining and test.documents("reading") else None,
        open_deviations=open_deviations(test),
        reservations_signed=any(each["what"] == "reservations" for each in test.documents("signature")),
        initialled=[each["role"] for each in test.documents("signature") if each["what"] == "data"],
        now=now,
    )


def found_tank(test: StoredTest, document: Mapping[str, Any]) -> TankFound:
    """Return a sounding as the tank plan is held against it; an ullage is counted from the table's top."""
    tank = next((each for each in test.tanks if each.name == document["tank"]), None)
    sounding = document.get("sounding_m")
    if sounding is None and document.get("ullage_m") is not None and tank is not None:
        sounding = tank.table[-1].sounding_m - document["ullage_m"]
    low = 0.0 if tank is None else tank.table[0].sounding_m
    found = from_document(TankFound, document)
    return TankFound(found.tank, found.state, found.evidence, sounding, low, found.at)


def _list_deg(test: StoredTest) -> float | None:
    """The list that the draughts show, or None while they cannot tell it."""
    kinds = ("draught", "freeboard")
    before = [[e for e in test.documents(k) if e.get("occasion", "before") == "before"] for k in kinds]
    try:
        return list_by_draughts_deg(test.marks, test.description["length_bp_m"], *before)
    except CoreError:
        return None
