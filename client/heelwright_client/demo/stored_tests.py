"""Stores invented tests at every stage: planned, in preparation, on the day, a survey, under review, approved."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from heelwright_client.client import Client
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.demo.seed import describe
from heelwright_client.demo.ships import FLEET, SHIPS, SISTERS, TEST_SHIP, Ship
from heelwright_client.demo.test_day import board, read_states
from heelwright_client.demo.test_papers import (
    LEADER,
    MATE,
    SURVEYOR,
    WITNESS,
    four_weights,
    plan_of,
    recorded_moves,
    recorded_tank_plan,
    survey_plan_of,
    tank_plan_of,
)
from heelwright_client.words import day as in_words

APPROVED_DAYS_AGO = 700
AsPerson = Callable[[str, str], Client]


def seed_tests(client: Client, as_person: AsPerson, today: date, tell: Callable[[str], None]) -> None:
    """Store the invented tests, each of a ship that has none yet.

    Parameters
    ----------
    client : Client
        With an administrator's token, of a service with the invented fleet.
    as_person : callable
        Takes a name and a role and gives a client that speaks for that person: nobody approves what he recorded.
    today : datetime.date
        The tests' dates count from this day.
    tell : callable
        Takes one line of progress.
    """
    recorder = as_person(SURVEYOR, "recorder")
    stages: dict[str, Callable[[str], str]] = {
        "Quillmoor": lambda vessel: _planned(client, vessel, today + timedelta(days=56)),
        "Feshwick Provider": lambda vessel: _preparing(client, vessel, today + timedelta(days=21)),
        "Merrowvale": lambda vessel: _on_the_day(client, recorder, vessel, today),
        "Tolvane Pull": lambda vessel: _surveying(client, recorder, vessel, today + timedelta(days=3)),
        "Merrowdale": lambda vessel: _under_review(client, vessel, carried(TEST_DAY)),
        "Merrowmere": lambda vessel: _approved(client, as_person(WITNESS, "approver"), vessel, today),
    }
    known = {str(vessel["name"]): str(vessel["id"]) for vessel in client.vessels}
    for name, store in stages.items():
        vessel_id = known.get(name) or _sister(client, name, known)
        if next(client.tests.of(vessel_id), None) is not None:
            tell(f"  a test of the {name}: there already")
        else:
            tell(f"  a test of the {name}: {store(vessel_id)}")


def _sister(client: Client, name: str, known: dict[str, str]) -> str:
    """A ship of the tested ship's form, of whom nothing is known but her tests."""
    vessel = client.vessels.create(
        {
            "name": name,
            "kind": TEST_SHIP.kind,
            "fleet": FLEET,
            "length_bp_m": TEST_SHIP.form.length_m,
            "length_m": TEST_SHIP.form.length_m,
            "breadth_m": TEST_SHIP.form.breadth_m,
            "depth_m": TEST_SHIP.form.depth_m,
            "keel_laid": SISTERS[name],
            "sister_of": known[TEST_SHIP.name],
        }
    ).document
    describe(client, str(vessel["id"]), TEST_SHIP)
    return str(vessel["id"])


def _ship(name: str) -> Ship:
    return next(ship for ship in SHIPS if ship.name == name)


def _move(client: Client, test_id: str, *stages: str) -> None:
    for stage in stages:
        client.tests.move(test_id, stage)


def _planned(client: Client, vessel_id: str, day: date) -> str:
    ship = _ship("Quillmoor")
    test = client.tests.open(vessel_id, "inclining-test", title="after the second deck crane").document["id"]
    client.tests.put_plan(test, plan_of(ship, day, four_weights(ship, day)))
    tanks = client.vessels.part(vessel_id, "tanks").document["tanks"]
    client.tests.put_tank_plan(test, tank_plan_of(tanks, day - timedelta(days=42)))
    on = (day - timedelta(days=56)).isoformat()
    client.tests.answer_tank(test, {"tank": "fuel oil port", "answer": "agreed", "by": MATE, "on": on})
    refusal = {"answer": "cannot", "reason": "the filling line is being renewed", "offered_state": "empty"}
    client.tests.answer_tank(test, {"tank": "fresh water starboard", "by": MATE, "on": on, **refusal})
    return "planned, eight weeks ahead; the ship cannot do what was planned for one tank"


def _preparing(client: Client, vessel_id: str, day: date) -> str:
    ship = _ship("Feshwick Provider")
    test = client.tests.open(vessel_id, "inclining-test", title="mooring winch").document["id"]
    client.tests.put_plan(test, plan_of(ship, day, four_weights(ship, day)))
    tanks = client.vessels.part(vessel_id, "tanks").document["tanks"]
    client.tests.put_tank_plan(test, tank_plan_of(tanks, day - timedelta(days=14)))
    for tank in tanks:
        agreed = {"tank": tank["name"], "answer": "agreed", "by": MATE, "on": (day - timedelta(days=30)).isoformat()}
        client.tests.answer_tank(test, agreed)
    _issue(client, test)
    items = client.tests.preparations(test)["items"]
    for number, item in enumerate(items[: len(items) // 2]):
        client.tests.mark(test, item["key"], "verified" if number % 3 == 0 else "done", done_by=MATE)
    return "in preparation, half of its list worked"


def _issue(client: Client, test: str) -> None:
    """Issue the procedure, what it lacks taken on by name, and make the work list."""
    for check in client.tests.procedure(test)["checks"]:
        if check["status"] == "fail":
            client.tests.enter(test, "waivers", {"point": check["id"], "name": LEADER, "reason": "sent after"})
    _move(client, test, "procedure-issued")
    client.tests.prepare(test)
    _move(client, test, "preparing")


def _on_the_day(client: Client, recorder: Client, vessel_id: str, today: date) -> str:
    record = carried(TEST_DAY)
    test = client.tests.open(vessel_id, "inclining-test", title="first of her class").document["id"]
    client.tests.put_plan(test, plan_of(TEST_SHIP, today, recorded_moves(record, today)))
    client.tests.put_tank_plan(test, recorded_tank_plan(record))
    _issue(client, test)
    _move(client, test, "advisory-survey")
    recorder.tests.enter(test, "closings", {"what": "advisory-survey", "name": SURVEYOR})
    _move(client, test, "survey-day")
    board(recorder, test, record)
    for point in client.tests.readiness(test)["start"]["blocking"]:
        if point["waivable"]:
            reason = {"point": point["id"], "name": LEADER, "reason": "shown on the day"}
            client.tests.enter(test, "waivers", reason)
    _move(client, test, "test-day")
    read_states(recorder, test, record, 5)
    return "on its test day, five of its states read"


def _surveying(client: Client, recorder: Client, vessel_id: str, day: date) -> str:
    ship = _ship("Tolvane Pull")
    test = client.tests.open(vessel_id, "lightweight-survey", title="fire monitors").document["id"]
    client.tests.put_plan(test, survey_plan_of(ship, day))
    tanks = client.vessels.part(vessel_id, "tanks").document["tanks"]
    client.tests.put_tank_plan(test, tank_plan_of(tanks, day - timedelta(days=2)))
    _issue(client, test)
    item = {"description": "Spare towing wire", "kind": "surplus", "mass_t": 1.85, "found_by": "weighed"}
    recorder.tests.enter(test, "items", {**item, "x_m": 6.2, "y_m": 0.0, "z_m": 5.4})
    return "a lightweight survey in three days, with one item found by now"


def _entered(client: Client, vessel_id: str, record: dict[str, Any], source: str) -> str:
    test = client.tests.open(vessel_id, "inclining-test", origin="entered-record", record_source=source).document["id"]
    client.tests.put_record(test, record)
    client.tests.reduce(test)
    _move(client, test, "preliminary-result", "under-review")
    return str(test)


def _under_review(client: Client, vessel_id: str, record: dict[str, Any]) -> str:
    test = _entered(client, vessel_id, record, "papers of the test day")
    client.tests.answer(test, "RR-19", "21 t are logged; the owner looks for the rest.", MATE)
    return "under review, one of its findings answered"


def _approved(client: Client, approver: Client, vessel_id: str, today: date) -> str:
    day = today - timedelta(days=APPROVED_DAYS_AGO)
    record = carried(TEST_DAY)
    record["vessel"]["name"] = "Merrowmere"
    record["test"]["date"] = day.isoformat()
    test = _entered(client, vessel_id, record, "file 12 of the yard")
    for finding in client.tests.review(test)["open"]:
        client.tests.answer(test, finding, "Looked at; the papers are in the yard's file 12.", MATE)
    approver.tests.approve(test, WITNESS, statement="as inclined by the yard")
    return f"approved, of {in_words(day.isoformat())}"
