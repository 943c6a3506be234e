"""One inclining test from its first idea to the approved lightship, by five people with their own tokens."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from heelwright_client.errors import RefusedError

from tests.support.app import engine_of, make_app, migrated_sqlite
from tests.support.campaign import (
    DAY,
    Crew,
    client_of,
    crew_of,
    enter_vessel,
    permit,
    plan_document,
    refusal,
    simulated,
    soundings,
    tank_plan_document,
    truth,
)


@dataclass(frozen=True)
class Story:
    """A test in the making: who takes part, the ship, the test, and what will be read on the day."""

    crew: Crew
    vessel_id: str
    test_id: str
    record: dict[str, Any]

    @property
    def stage(self) -> str:
        """Where the test stands."""
        return str(self.crew.planner.tests.get(self.test_id).document["stage"])

    def missing(self, stage: str) -> set[str]:
        """What is missing for a stage that may follow."""
        ahead = self.crew.planner.tests.get(self.test_id).document["next_stages"]
        return {each["requirement"] for each in next(e for e in ahead if e["stage"] == stage)["missing"]}


def refused(error: pytest.ExceptionInfo[RefusedError]) -> tuple[int, str]:
    """Status and code of a refusal."""
    return error.value.status, error.value.code


@pytest.fixture
def story(app: Flask) -> Story:
    crew, record = crew_of(app), simulated()
    admin = client_of(app, "admin", "Fleet office")
    vessel_id = enter_vessel(crew.planner, record, admin=admin)
    test = crew.planner.tests.open(vessel_id, "inclining-test", title="Five-year inclining").document
    return Story(crew, vessel_id, test["id"], record)


def plan_it(story: Story) -> None:
    """The plan, the ship's refusal of one tank, and the plan made again with what she offers."""
    tests = story.crew.planner.tests
    assert {"date_and_place_set", "tank_plan_made", "weight_plan_made"} <= story.missing("procedure-issued")
    tests.put_plan(story.test_id, plan_document(story.record))
    tests.put_tank_plan(story.test_id, tank_plan_document(story.record))
    calendar = {each["key"]: each["date"] for each in tests.calendar(story.test_id)["items"]}
    assert (calendar["advisory-survey"], calendar["procedure"]) == ("2024-05-08", "2024-04-24")
    tests.prepare(story.test_id)

    answered = story.crew.ship.tests.answer_tank(story.test_id, refusal(story.record))
    assert answered["effect"]["free_surface_moment_t_m"] > 0.0
    assert answered["effect"]["weight_plan_stands"] is True
    standing = tests.tanks(story.test_id)
    assert standing["flagged"] == ["FO 1P"]
    tests.replan(story.test_id)
    for tank in ("FO 1P", "FO 1S", "WB 3P"):
        answer = {"tank": tank, "answer": "agreed", "by": "Chief engineer", "on": "2024-05-02"}
        story.crew.ship.tests.answer_tank(story.test_id, answer)
    assert tests.tanks(story.test_id)["flagged"] == []
    keys = {item["key"] for item in tests.preparations(story.test_id)["items"]}
    assert "tank/FO 1P/slack" in keys
    assert "tank/FO 1P/emptied" not in keys

    checks = {check["id"]: check["status"] for check in tests.procedure(story.test_id)["checks"]}
    assert [name for name, status in checks.items() if status == "fail"] == []
    tests.move(story.test_id, "procedure-issued")
    tests.move(story.test_id, "preparing")


def prepare_her(story: Story) -> None:
    """The advisory survey a week ahead, the work list, and the survey on the day before."""
    ship, tests = story.crew.ship.tests, story.crew.planner.tests
    tests.move(story.test_id, "advisory-survey")
    paint = {
        "description": "Paint drums, fore deck",
        "kind": "surplus",
        "mass_t": 1.2,
        "x_m": 55.3,
        "y_m": 0.4,
        "z_m": 6.4,
        "found_by": "counted",
        "survey": "advisory",
    }
    ship.enter(story.test_id, "items", paint)
    rows = {}
    for item in story.record["items"]:
        if item["description"] != "Persons aboard":
            facts = {**item, "found_by": "estimated", "deck": "main", "survey": "advisory"}
            rows[item["description"]] = ship.enter(story.test_id, "items", facts)
    assert "too light" in rows["Stores in bosun locker"]["hint"]
    ship.enter(story.test_id, "closings", {"what": "advisory-survey", "name": "K. Lund"})
    for item in tests.preparations(story.test_id)["items"]:
        ship.mark(story.test_id, item["key"], "done", done_by="Bosun")
    assert all(item["state"] == "done" for item in tests.preparations(story.test_id)["items"])

    tests.move(story.test_id, "survey-day")
    for row in rows.values():
        story.crew.first.tests.tick(story.test_id, row["entry_id"])
    person = next(item for item in story.record["items"] if item["description"] == "Persons aboard")
    place = {name: person[name] for name in ("mass_t", "x_m", "y_m", "z_m")}
    story.crew.first.tests.enter(story.test_id, "persons", {"name": "Test party, nine persons", **place})
    summed = tests.survey(story.test_id)
    assert {check["status"] for check in summed["checks"]} == {"pass"}
    assert len(summed["not_carried"]) == 1
    assert summed["twins"] == []
    story.crew.first.tests.enter(story.test_id, "closings", {"what": "survey", "name": "R. Osei"})


def come_aboard(story: Story) -> None:
    """Weights, instruments, soundings and water, by two recorders; the missing permit keeps everybody waiting."""
    first, second = story.crew.first.tests, story.crew.second.tests
    for weight in story.record["inclining_weights"]:
        second.enter(story.test_id, "weights", {**weight, "certificate": f"W-{weight['id']}"})
    for instrument in story.record["instruments"]:
        second.enter(story.test_id, "instruments", instrument)
    for sounding in soundings(story.record):
        first.enter(story.test_id, "soundings", sounding)
    for draught in story.record["draughts"]:
        first.enter(story.test_id, "draughts", {**draught, "at": f"{DAY}T06:40:00+00:00"})
    for sample in story.record["water"]["samples"]:
        first.enter(story.test_id, "water", {**sample, "temperature_c": 11.0})
    weather = {"wind_m_per_s": 2.0, "gust_m_per_s": 3.0, "wave_m": 0.05, "current_kn": 0.1}
    first.enter(story.test_id, "weather", weather)

    start = first.readiness(story.test_id)["start"]
    assert [point["id"] for point in start["blocking"]] == ["gas-free/WB 3P"]
    assert story.missing("test-day") == {"ready_to_start"}
    with pytest.raises(RefusedError) as error:
        story.crew.planner.tests.move(story.test_id, "test-day")
    assert refused(error) == (422, "stage-evidence-missing")
    hurry = {"point": "gas-free/WB 3P", "name": "A. Hurry", "reason": "we are late"}
    with pytest.raises(RefusedError) as error:
        story.crew.planner.tests.enter(story.test_id, "waivers", hurry)
    assert refused(error) == (422, "waiver-not-allowed")

    story.crew.ship.tests.enter(story.test_id, "permits", permit())
    assert first.readiness(story.test_id)["start"]["ready"] is True
    story.crew.planner.tests.move(story.test_id, "test-day")


def incline_her(story: Story) -> None:
    """State by state; the reading of one pendulum is bad, is asked for again, and stays readable with the reason."""
    first, second = story.crew.first.tests, story.crew.second.tests
    bad: dict[str, Any] = {}
    for state in story.record["states"]:
        second.enter(story.test_id, "states", {**state, "lines_slack": True})
        for reading in (each for each in story.record["readings"] if each["state"] == state["number"]):
            reader = first if reading["instrument"] == "P1" else second
            if (state["number"], reading["instrument"]) == (2, "P2"):
                wrong = {**reading, "value_mm": reading["value_mm"] + 14.0}
                bad = reader.enter(story.test_id, "readings", wrong, idempotency_key="state-2-P2")
                again = reader.enter(story.test_id, "readings", wrong, idempotency_key="state-2-P2")
                assert again["entry_id"] == bad["entry_id"]
            else:
                reader.enter(story.test_id, "readings", reading)
    running = first.running(story.test_id)
    assert [(each["state"], each["instrument"]) for each in running["read_again"]] == [(2, "P2")]
    assert running["may_stop"] is False
    assert "line is slack" in running["next_actions"][0]
    leave = first.readiness(story.test_id)["leave"]
    assert "C-03" in [point["id"] for point in leave["blocking"]]

    good = next(r for r in story.record["readings"] if (r["state"], r["instrument"]) == (2, "P2"))
    second.enter(
        story.test_id, "readings", {**good, "corrects": bad["entry_id"], "reason": "the bob touched the trough"}
    )
    running = first.running(story.test_id)
    assert running["read_again"] == []
    assert running["may_stop"] is True
    assert running["gm_fluid_m"] == pytest.approx(truth()["classical_gm_fluid_m"], rel=2e-3)


def settle_and_close(story: Story) -> None:
    """A departure is priced and accepted, reservations and data are signed, and the day is closed."""
    first, planner = story.crew.first.tests, story.crew.planner.tests
    walked = {
        "kind": "people-walk",
        "text": "two men walked with the weights",
        "mass_t": 0.16,
        "distance_m": 7.0,
    }
    deviation = first.enter(story.test_id, "deviations", walked)
    assert deviation["price"]["side"] == "safe"
    assert deviation["price"]["vcg_m"] > 0.0
    leave = first.readiness(story.test_id)["leave"]
    assert "deviation/two men walked with the weights" in [point["id"] for point in leave["blocking"]]
    decision = {"decision": "accept", "name": "R. Osei", "witness": "L. Brandt"}
    assert planner.decide(story.test_id, deviation["entry_id"], decision)["price"] == deviation["price"]
    first.enter(story.test_id, "reservations", {"topic": "night", "applies": False})
    signed = {"at": f"{DAY}T10:30:00+00:00"}
    for what, role, name in (
        ("reservations", "person-in-charge", "R. Osei"),
        ("data", "person-in-charge", "R. Osei"),
        ("data", "witness", "L. Brandt"),
    ):
        first.enter(story.test_id, "signatures", {"what": what, "role": role, "name": name, **signed})
    assert first.readiness(story.test_id)["leave"]["ready"] is True
    first.enter(story.test_id, "closings", {"what": "test-day", "name": "R. Osei"})


def reduce_it(story: Story) -> dict[str, Any]:
    """The preliminary result, the request for an interim condition, and what has to be put back."""
    planner = story.crew.planner.tests
    found = planner.reduce(story.test_id)
    real = truth()["lightship"]
    light = found["result"]["lightship"]
    assert found["status"] == "preliminary"
    assert "neither reviewed nor approved" in found["mark"]
    assert light["mass_t"] == pytest.approx(real["mass_t"], rel=1e-4)
    assert light["vcg_m"] == pytest.approx(real["vcg_m"], abs=2e-3)
    assert found["preliminary"]["outcome"] == "pass"
    planner.move(story.test_id, "preliminary-result")
    page = planner.ask_for_interim(story.test_id, ["No passengers above the main deck."], 45)
    assert "no approval" in page["mark"]
    assert page["vcg_m"] > light["vcg_m"]
    keys = [each["key"] for each in planner.put_back(story.test_id)]
    assert {"access/WB 3P", "weights-off", "valves"} <= set(keys)
    assert any(key.startswith("landed/") for key in keys)
    return found


def review_it(story: Story) -> None:
    """The automatic review, with an answer by name to everything that does not pass."""
    planner = story.crew.planner.tests
    planner.enter(
        story.test_id,
        "statements",
        {"permanent_ballast": "none", "comparison": "five tonnes of paint and cable since the last test"},
    )
    planner.move(story.test_id, "under-review")
    review = planner.review(story.test_id)
    assert [each["id"] for each in review["findings"]] == [f"RR-{n:02d}" for n in range(1, 27)]
    assert story.missing("approved") >= {"review_answered"}
    for finding in review["open"]:
        planner.answer(story.test_id, finding, "looked at and found to be so", "K. Lund")
    assert planner.review(story.test_id)["open"] == []


def it_comes_out_the_same_elsewhere(exported: dict[str, Any], result: dict[str, Any], folder: Path) -> None:
    """The record goes into another installation, whose result and export are the same."""
    folder.mkdir()
    app = make_app(migrated_sqlite(folder))
    other = crew_of(app)
    vessel_id = enter_vessel(other.planner, exported, approved=False)
    entered = other.planner.tests.open(
        vessel_id, "inclining-test", origin="entered-record", record_source="file of the other office"
    ).document
    other.planner.tests.put_record(entered["id"], exported)
    assert other.planner.tests.record(entered["id"]).document == exported
    again = other.planner.tests.reduce(entered["id"])["result"]
    assert again["lightship"] == result["lightship"]
    assert again["provenance"]["record_sha256"] == result["provenance"]["record_sha256"]
    with pytest.raises(RefusedError) as error:
        other.first.tests.enter(entered["id"], "water", exported["water"]["samples"][0])
    assert refused(error) == (409, "record-entered-whole")
    engine_of(app).dispose()


def test_a_test_goes_from_its_first_idea_to_the_approved_lightship(story: Story, app: Flask, tmp_path: Path) -> None:
    plan_it(story)
    prepare_her(story)
    come_aboard(story)
    incline_her(story)
    settle_and_close(story)

    with pytest.raises(RefusedError) as error:
        story.crew.first.tests.enter(story.test_id, "readings", {**story.record["readings"][0], "repeat": 2})
    assert refused(error) == (409, "test-day-closed")

    found = reduce_it(story)
    review_it(story)

    stale = story.crew.planner.tests.get(story.test_id).etag
    story.crew.planner.tests.move(story.test_id, "preliminary-result")
    story.crew.planner.tests.move(story.test_id, "under-review")
    with pytest.raises(RefusedError) as error:
        story.crew.approver.tests.approve(story.test_id, "P. Renard", etag=stale)
    assert refused(error) == (412, "stale")
    with pytest.raises(RefusedError) as error:
        story.crew.first.tests.approve(story.test_id, "M. Ito")
    assert refused(error) == (403, "role-too-low")
    promoted = client_of(app, "approver", "S. Aboud")
    with pytest.raises(RefusedError) as error:
        promoted.tests.approve(story.test_id, "S. Aboud")
    assert refused(error) == (403, "approver-recorded")

    approval = story.crew.approver.tests.approve(story.test_id, "P. Renard", authority="Flag")
    assert story.stage == "approved"
    lightships = {each["id"]: each for each in story.crew.planner.lightships.of(story.vessel_id)}
    light = lightships[approval["lightship"]]
    assert (light["date"], light["basis"], light["approved"]) == (DAY, "inclining-test", True)
    assert light["mass_t"] == found["result"]["lightship"]["mass_t"]
    assert light["uncertainties"]["vcg_m"] > 0.0

    drift = story.crew.planner.vessels.drift(story.vessel_id)
    assert drift["baseline"]["date"] == DAY
    kinds = [each["type"] for each in story.crew.planner.events.after(0)]
    assert kinds.count("heelwright.test.stage-changed") >= 7
    assert {"heelwright.test.tank-refused", "heelwright.test.reduced", "heelwright.test.approved"} <= set(kinds)

    exported = story.crew.planner.tests.record(story.test_id).document
    withdrawn = [each for each in exported["readings"] if each.get("withdrawn_reason")]
    assert [(each["state"], each["withdrawn_reason"]) for each in withdrawn] == [(2, "the bob touched the trough")]
    with pytest.raises(RefusedError) as error:
        story.crew.planner.tests.reduce(story.test_id)
    assert refused(error) == (409, "test-frozen")
    it_comes_out_the_same_elsewhere(exported, found["result"], tmp_path / "elsewhere")
