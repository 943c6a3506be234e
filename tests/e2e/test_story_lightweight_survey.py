"""A lightweight survey: no inclining, no VCG; the ship has grown more than she may, and somebody has to see to it."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from heelwright_client.errors import RefusedError

from tests.support.campaign import (
    DAY,
    client_of,
    crew_of,
    enter_vessel,
    plan_document,
    refusal,
    simulated,
    soundings,
    tank_plan_document,
    truth,
)

INCLINING_ONLY = ("moves", "instruments", "mobile_things")


def survey_plan(record: dict[str, Any]) -> dict[str, Any]:
    """The plan of the inclining without what only an inclining needs; the expected ship is the approved one."""
    plan = {name: value for name, value in plan_document(record).items() if name not in INCLINING_ONLY}
    expected = {"displacement_t": 1120.0, "lightship_mass_t": 1080.0, "lightship_lcg_m": 34.95, "lightship_vcg_m": 4.5}
    return plan | {"expected": expected}


def what_is_aboard(record: dict[str, Any]) -> list[dict[str, Any]]:
    """The survey's rows: the simulated items, and the blocks that stood on deck while the draughts were read."""
    start = record["states"][0]["positions"]
    blocks = [
        {
            "description": f"Test block {weight['id']} on deck",
            "kind": "surplus",
            "mass_t": weight["mass_t"],
            "x_m": start[weight["id"]][0],
            "y_m": start[weight["id"]][1],
            "z_m": start[weight["id"]][2],
            "found_by": "weighed",
        }
        for weight in record["inclining_weights"]
    ]
    items = [item for item in record["items"] if item["description"] != "Persons aboard"]
    return [*items, *blocks]


def test_a_survey_finds_the_mass_leaves_vcg_unknown_and_its_failure_is_followed_up(app: Flask) -> None:
    crew, record = crew_of(app), simulated()
    admin = client_of(app, "admin", "Fleet office")
    vessel_id = enter_vessel(crew.planner, record, admin=admin, approved_mass_t=1080.0)
    planner, ship, first = crew.planner.tests, crew.ship.tests, crew.first.tests
    test_id = planner.open(vessel_id, "lightweight-survey").document["id"]
    planner.put_plan(test_id, survey_plan(record))
    planner.put_tank_plan(test_id, tank_plan_document(record))
    ship.answer_tank(test_id, refusal(record))
    planner.replan(test_id)
    planner.prepare(test_id)
    decision = {"item_class": "crew-effects", "counts": "load", "decided_by": "Owner", "decided_on": "2019-04-02"}
    planner.decide_boundary(vessel_id, decision)
    for stage in ("procedure-issued", "preparing"):
        planner.move(test_id, stage)
    waiver = {"point": "advisory-survey", "name": "R. Osei", "reason": "she has been lying at the yard for weeks"}
    planner.enter(test_id, "waivers", waiver)
    planner.move(test_id, "survey-day")

    for row in what_is_aboard(record):
        first.enter(test_id, "items", row)
    party = next(item for item in record["items"] if item["description"] == "Persons aboard")
    first.enter(test_id, "persons", {name: party[name] for name in ("mass_t", "x_m", "y_m", "z_m")})
    for sounding in soundings(record):
        first.enter(test_id, "soundings", sounding if sounding["tank"] != "WB 3P" else sounding | {"evidence": "seen"})
    for draught in record["draughts"]:
        first.enter(test_id, "draughts", draught)
    for sample in record["water"]["samples"]:
        first.enter(test_id, "water", {**sample, "temperature_c": 11.0})
    with pytest.raises(RefusedError) as error:
        first.enter(test_id, "readings", record["readings"][0])
    assert (error.value.status, error.value.code) == (409, "stage-not-open")
    assert planner.survey(test_id)["boundary"][0]["status"] == "pass"

    for what, role in (("reservations", "person-in-charge"), ("data", "person-in-charge"), ("data", "witness")):
        signature = {"what": what, "role": role, "name": "R. Osei", "at": f"{DAY}T12:00:00+00:00"}
        first.enter(test_id, "signatures", signature)
    blocking = [point["id"] for point in first.readiness(test_id)["leave"]["blocking"]]
    assert blocking == ["gas-free/WB 3P"]  # planned to be entered: until the plan changes, the permit is asked for
    for what in ("survey", "test-day"):
        first.enter(test_id, "closings", {"what": what, "name": "R. Osei"})

    found = planner.reduce(test_id)
    light = found["result"]["lightship"]
    assert light["mass_t"] == pytest.approx(truth()["lightship"]["mass_t"], rel=2e-4)
    assert light["lcg_m"] == pytest.approx(truth()["lightship"]["lcg_m"], abs=0.01)
    assert light["vcg_m"] is None
    assert found["preliminary"]["outcome"] == "fail"
    assert [v["rule"] for v in found["preliminary"]["verdicts"] if v["regulatory"] == "fail"] == ["D-07"]
    [action] = list(planner.actions(vessel_id))
    assert (action["owner"], action["test_id"]) == ("R. Osei", test_id)

    planner.move(test_id, "preliminary-result")
    page = planner.ask_for_interim(test_id, ["Half the passengers."])
    assert (page["vcg_m"], "approved" in page["vcg_origin"]) == (4.5, True)
    planner.move(test_id, "under-review")
    assert "RR-26" in planner.review(test_id)["open"]
    reason = {"permanent_ballast": "none", "vcg_reason": "VCG of the last inclining", "comparison": "new thruster"}
    planner.enter(test_id, "statements", reason)
    assert "RR-26" not in planner.review(test_id)["open"]
    for finding in planner.review(test_id)["open"]:
        planner.answer(test_id, finding, "accepted", "K. Lund")
    approval = crew.approver.tests.approve(test_id, "P. Renard")
    stored = {each["id"]: each for each in crew.planner.lightships.of(vessel_id)}[approval["lightship"]]
    assert (stored["basis"], stored["vcg_m"]) == ("lightweight-survey", None)

    drift = crew.planner.vessels.drift(vessel_id)
    assert drift["baseline"]["date"] == "2019-04-02"
    assert drift["items"][-1]["action"] == "re-incline"
    assert [each["id"] for each in planner.actions(vessel_id)] == [action["id"]]
    closed = planner.close_action(action["id"], "inclining booked for June, quotation 118")
    assert closed["closed_by"] == "K. Lund"
    assert list(planner.actions(vessel_id)) == []
