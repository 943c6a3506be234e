"""/v1/tests/{id}/readings and the like: what is entered on board, corrected by further entries, never overwritten."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask_smorest import Blueprint
from marshmallow import Schema

from heelwright_service.api.context import caller, turns, work
from heelwright_service.api.endpoint import Answer, Pending, endpoint
from heelwright_service.api.schemas import test_day as s
from heelwright_service.api.schemas.base import PageQuery, page_of
from heelwright_service.api.schemas.tests import ReadinessOfTestAnswer, TickBody
from heelwright_service.store.base import utc_now
from heelwright_service.usecases import (
    advance_test,
    enter_in_test,
    record_test_day,
    settle_deviations,
    survey_vessel,
    weigh_readiness,
)
from heelwright_service.usecases.enter_in_test import Entered

blueprint = Blueprint("test days", __name__, url_prefix="/v1", description="What is entered on board")

_TEST = "/tests/<id:test_id>"
Entry = dict[str, Any]
Enter = Callable[[str, dict[str, Any]], Entry | Callable[[], Entry]]


@dataclass(frozen=True)
class Collection:
    """One kind of entry: its path, its name, the lowest role, the body, and how it is entered.

    Where something is computed at length first, ``enter`` does that and returns what enters it.
    """

    path: str
    kind: str
    role: str
    body: type[Schema]
    enter: Enter
    extras: type[Schema] = s.EntryAnswer
    at_length: bool = False


def _recorded(kind: str) -> Enter:
    return lambda test_id, body: record_test_day.record(work(), caller(), test_id, kind, Entered.of(body))


def _entered(kind: str) -> Enter:
    return lambda test_id, body: enter_in_test.enter(work(), caller(), test_id, kind, Entered.of(body))


def _item(test_id: str, body: dict[str, Any]) -> dict[str, Any]:
    return survey_vessel.enter_item(work(), caller(), test_id, Entered.of(body))


def _deviation(test_id: str, body: dict[str, Any]) -> Callable[[], Entry]:
    return settle_deviations.enter_deviation(work(), turns(), caller(), test_id, Entered.of(body))


def _waiver(test_id: str, body: dict[str, Any]) -> dict[str, Any]:
    return record_test_day.waive(work(), caller(), test_id, body)


def _closing(test_id: str, body: dict[str, Any]) -> dict[str, Any]:
    return advance_test.close(work(), caller(), test_id, body)


COLLECTIONS = (
    Collection("water", "water", "recorder", s.WaterEntryBody, _recorded("water")),
    Collection("probes", "probe", "recorder", s.ProbeEntryBody, _recorded("probe")),
    Collection("draughts", "draught", "recorder", s.DraughtEntryBody, _recorded("draught")),
    Collection("freeboards", "freeboard", "recorder", s.FreeboardEntryBody, _recorded("freeboard")),
    Collection("soundings", "sounding", "recorder", s.SoundingEntryBody, _recorded("sounding")),
    Collection("items", "item", "recorder", s.ItemEntryBody, _item, s.ItemExtras),
    Collection("persons", "person", "recorder", s.PersonEntryBody, _recorded("person")),
    Collection("weights", "weight", "recorder", s.WeightEntryBody, _recorded("weight")),
    Collection("instruments", "instrument", "recorder", s.InstrumentEntryBody, _recorded("instrument")),
    Collection("states", "state", "recorder", s.StateEntryBody, _recorded("state")),
    Collection("ballast-moves", "ballast-move", "recorder", s.BallastMoveEntryBody, _recorded("ballast-move")),
    Collection(
        "ballast-procedure",
        "ballast-procedure",
        "recorder",
        s.BallastProcedureEntryBody,
        _recorded("ballast-procedure"),
    ),
    Collection("readings", "reading", "recorder", s.ReadingEntryBody, _recorded("reading")),
    Collection("weather", "weather", "recorder", s.WeatherEntryBody, _recorded("weather")),
    Collection("permits", "permit", "recorder", s.PermitBody, _recorded("permit")),
    Collection("certificates", "certificate", "recorder", s.CertificateBody, _entered("certificate")),
    Collection("reservations", "reservation", "recorder", s.ReservationBody, _entered("reservation")),
    Collection("signatures", "signature", "recorder", s.SignatureBody, _entered("signature")),
    Collection("deviations", "deviation", "recorder", s.DeviationEntryBody, _deviation, s.DeviationExtras, True),
    Collection("waivers", "waiver", "planner", s.WaiverBody, _waiver),
    Collection("closings", "closing", "recorder", s.ClosingBody, _closing),
    Collection("statements", "statements", "planner", s.StatementsBody, _entered("statements")),
    Collection("uncertainties", "uncertainties", "planner", s.UncertaintiesEntryBody, _entered("uncertainties")),
)
NOT_WITHDRAWN = ("closing", "waiver")
"""What is done by name stays done: a waiver is outlived by mending its point, a closing by nothing."""


def _add(group: Collection) -> None:
    path, name = f"{_TEST}/{group.path}", group.path.replace("-", "_")

    def add(test_id: str, body: dict[str, Any]) -> Answer | Pending:
        def entered(found: Entry) -> Answer:
            return Answer(found, location=f"/v1/tests/{test_id}/{group.path}/{found['entry_id']}")

        found = group.enter(test_id, body)
        return Pending(lambda: entered(found())) if callable(found) else entered(found)

    def list_all(test_id: str, query: dict[str, Any]) -> Answer:
        return Answer(enter_in_test.list_entries(work(), caller(), test_id, group.kind, **query))

    def read(test_id: str, entry_id: str) -> Answer:
        return Answer(enter_in_test.read_entry(work(), caller(), test_id, group.kind, entry_id))

    def withdraw(test_id: str, entry_id: str, body: dict[str, Any]) -> Answer:
        return Answer(enter_in_test.withdraw(work(), caller(), test_id, group.kind, entry_id, body["reason"]))

    add.__name__, add.__doc__ = f"add_test_{name}", f"Enter {name} of a test; a correction names what it replaces."
    list_all.__name__, list_all.__doc__ = f"list_test_{name}", f"List the {name} of a test, corrected ones included."
    read.__name__, read.__doc__ = f"read_test_{name}", f"Read one entry of the {name} of a test."
    withdraw.__name__ = f"withdraw_test_{name}"
    withdraw.__doc__ = f"Take back one entry of the {name} of a test, with the reason."
    told = s.entry_answer(group.body, group.extras)
    kept = s.entry_answer(group.body, s.DeviationExtras if group.kind == "deviation" else s.EntryAnswer)
    enters = endpoint(
        blueprint,
        "POST",
        path,
        role=group.role,
        body=group.body(),
        answer=told(),
        status=201,
        refusals=(409,),
        stores=not group.at_length,
    )
    enters(add)
    endpoint(blueprint, "GET", path, role="reader", query=PageQuery(), answer=page_of(kept))(list_all)
    endpoint(blueprint, "GET", f"{path}/<id:entry_id>", role="reader", answer=kept())(read)
    if group.kind not in NOT_WITHDRAWN:
        endpoint(
            blueprint,
            "POST",
            f"{path}/<id:entry_id>/withdrawal",
            role=group.role,
            body=s.WithdrawalBody(),
            answer=kept(),
            status=201,
            refusals=(409,),
        )(withdraw)


for _collection in COLLECTIONS:
    _add(_collection)


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/items/<id:entry_id>/tick",
    role="recorder",
    body=TickBody(),
    answer=s.entry_answer(s.ItemEntryBody, s.ItemExtras)(),
    status=201,
    refusals=(409,),
)
def tick_item(test_id: str, entry_id: str, body: dict[str, Any]) -> Answer:
    """Carry a row of the advisory survey over into the survey, with its mass where that has changed."""
    return Answer(survey_vessel.tick_item(work(), caller(), test_id, entry_id, body.get("mass_t")))


@endpoint(blueprint, "GET", f"{_TEST}/survey", role="reader", answer=s.SurveySumAnswer(), refusals=(422,))
def sum_up_survey(test_id: str) -> Answer:
    """Sum up the survey: limits, what landing the heaviest would do, doubles, what need not be listed, the boundary."""
    return Answer(survey_vessel.sum_up(work(), caller(), test_id))


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/deviations/<id:entry_id>/decisions",
    role="planner",
    body=s.DecisionBody(),
    answer=s.entry_answer(s.DecisionBody, s.DecisionExtras)(),
    status=201,
    refusals=(409,),
    stores=False,
)
def decide_deviation(test_id: str, entry_id: str, body: dict[str, Any]) -> Pending:
    """Accept or mend a departure, or postpone for it, by name and at its price."""
    keep = settle_deviations.decide(work(), turns(), caller(), test_id, entry_id, Entered.of(body))
    return Pending(lambda: Answer(keep()))


@endpoint(blueprint, "GET", f"{_TEST}/running", role="reader", answer=s.RunningAnswer(), refusals=(422,))
def read_running(test_id: str) -> Answer:
    """Read where the test stands after its last state: plot, GM so far, what to read again, whether one may stop."""
    return Answer(record_test_day.read_running(work(), caller(), test_id))


@endpoint(blueprint, "GET", f"{_TEST}/readiness", role="reader", answer=ReadinessOfTestAnswer())
def read_readiness(test_id: str) -> Answer:
    """Answer whether the test can start and whether the ship can be left, with what stands in the way."""
    now = utc_now().isoformat(timespec="seconds")
    return Answer(weigh_readiness.read_readiness(work(), caller(), test_id, now))
