"""Stored tests over the API: who may do what, when, and what is never overwritten."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from flask import Flask
from heelwright_client.errors import RefusedError

from tests.support.app import Api, new_token
from tests.support.campaign import (
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
)


@pytest.fixture
def crew(app: Flask) -> Crew:
    return crew_of(app)


@pytest.fixture
def record() -> dict[str, Any]:
    return simulated()


@pytest.fixture
def vessel_id(app: Flask, crew: Crew, record: dict[str, Any]) -> str:
    return enter_vessel(crew.planner, record, admin=client_of(app, "admin", "Fleet office"))


@pytest.fixture
def test_id(crew: Crew, vessel_id: str, record: dict[str, Any]) -> str:
    """A test whose procedure is issued and whose work list is there."""
    tests = crew.planner.tests
    found = str(tests.open(vessel_id, "inclining-test").document["id"])
    tests.put_plan(found, plan_document(record))
    tests.put_tank_plan(found, tank_plan_document(record))
    tests.prepare(found)
    return found


def refused(error: pytest.ExceptionInfo[RefusedError]) -> tuple[int, str]:
    return error.value.status, error.value.code


def on_survey_day(crew: Crew, test_id: str) -> None:
    for stage in ("procedure-issued", "preparing"):
        crew.planner.tests.move(test_id, stage)
    waiver = {"point": "advisory-survey", "name": "R. Osei", "reason": "done by the yard"}
    crew.planner.tests.enter(test_id, "waivers", waiver)
    crew.planner.tests.move(test_id, "survey-day")


def test_a_test_says_what_is_missing_for_its_next_stage(crew: Crew, vessel_id: str) -> None:
    opened = crew.planner.tests.open(vessel_id, "inclining-test").document
    [ahead, *others] = opened["next_stages"]
    assert ahead["stage"] == "procedure-issued"
    assert {each["requirement"] for each in ahead["missing"]} >= {"tank_plan_made", "person_in_charge_named"}
    assert all(each["mend"] for each in ahead["missing"])
    assert [each["stage"] for each in others] == ["postponed", "abandoned"]


def test_a_vessel_without_a_length_cannot_be_tested(crew: Crew) -> None:
    vessel = crew.planner.vessels.create({"name": "Ghost"}).document["id"]
    with pytest.raises(RefusedError) as error:
        crew.planner.tests.open(vessel, "inclining-test")
    assert refused(error) == (422, "vessel-incomplete")


def test_another_fleets_test_is_not_found(app: Flask, crew: Crew, test_id: str) -> None:
    stranger = client_of(app, "planner", "Other office", fleet="South")
    with pytest.raises(RefusedError) as error:
        stranger.tests.get(test_id)
    assert refused(error) == (404, "test-not-found")
    assert list(stranger.tests) == []
    assert [each["id"] for each in crew.planner.tests] == [test_id]


def test_a_recorder_neither_plans_nor_moves_a_test(crew: Crew, test_id: str) -> None:
    with pytest.raises(RefusedError) as error:
        crew.first.tests.put_plan(test_id, {"date": "2031-01-01"})
    assert error.value.status == 403
    with pytest.raises(RefusedError) as error:
        crew.first.tests.move(test_id, "procedure-issued")
    assert error.value.status == 403


def test_a_plan_is_kept_in_versions_and_a_stale_change_is_refused(crew: Crew, test_id: str) -> None:
    first = crew.planner.tests.plan(test_id)
    changed = {**first.document, "start_at": "2024-05-15T07:00:00+00:00"}
    crew.planner.tests.put_plan(test_id, changed, etag=first.etag)
    with pytest.raises(RefusedError) as error:
        crew.planner.tests.put_plan(test_id, first.document, etag=first.etag)
    assert refused(error) == (412, "stale")
    with pytest.raises(RefusedError) as error:
        crew.planner.tests.put_plan(test_id, first.document)
    assert refused(error) == (428, "precondition-missing")


@pytest.mark.parametrize(
    ("plan", "pointer"),
    [
        ({"date": "15.05.2024"}, "/date"),
        ({"place": {"name": "x", "depth_lowest_m": "8"}}, "/place/depth_lowest_m"),
        ({"persons": [{"role": "king", "name": "x"}]}, "/persons/0/role"),
        ({"wheather_limits": {}}, "/wheather_limits"),
        ({"rule_set": "none-such"}, "/rule_set"),
    ],
)
def test_a_plan_of_the_wrong_shape_is_refused_by_pointer(
    app: Flask, api: Api, test_id: str, plan: dict[str, Any], pointer: str
) -> None:
    answer = api.put(f"/tests/{test_id}/plan", plan, If_Match='"1"')
    assert answer.status_code == 422
    assert [each["pointer"] for each in answer.get_json()["errors"]] == [pointer]


def test_a_tank_that_cannot_be_so_is_refused(crew: Crew, test_id: str, record: dict[str, Any]) -> None:
    plan = tank_plan_document(record)
    plan["tanks"][1]["sounding_m"] = 40.0
    etag = crew.planner.tests.tank_plan(test_id).etag
    with pytest.raises(RefusedError) as error:
        crew.planner.tests.put_tank_plan(test_id, plan, etag=etag)
    assert refused(error) == (422, "sounding-outside-table")


def test_a_tick_outlives_the_plan_that_asked_for_it(crew: Crew, test_id: str, record: dict[str, Any]) -> None:
    crew.ship.tests.mark(test_id, "tank/FO 1P/emptied", "done", done_by="Third engineer")
    crew.ship.tests.answer_tank(test_id, refusal(record))
    crew.planner.tests.replan(test_id)
    items = {each["key"]: each for each in crew.planner.tests.preparations(test_id)["items"]}
    assert items["tank/FO 1P/emptied"]["obsolete"] is True
    assert items["tank/FO 1P/emptied"]["done_by"] == "Third engineer"
    assert items["tank/FO 1P/slack"]["state"] == "open"


def test_waiving_an_item_needs_a_planner_and_a_reason(crew: Crew, test_id: str) -> None:
    with pytest.raises(RefusedError) as error:
        crew.ship.tests.mark(test_id, "bilges", "waived", remarks="dry enough")
    assert error.value.status == 403
    with pytest.raises(RefusedError) as error:
        crew.planner.tests.mark(test_id, "bilges", "waived")
    assert error.value.status == 422
    own = {"what": "Chain the dog.", "why": "He walks.", "verify": "Seen.", "who": "master"}
    added = crew.ship.tests.add_preparation(test_id, own)
    assert added["items"][-1]["added_by"] == "Chief engineer"


def test_readings_wait_for_the_test_day(crew: Crew, test_id: str, record: dict[str, Any]) -> None:
    on_survey_day(crew, test_id)
    with pytest.raises(RefusedError) as error:
        crew.first.tests.enter(test_id, "readings", record["readings"][0])
    assert refused(error) == (409, "stage-not-open")


def test_two_recorders_who_read_the_same_mark_do_not_overwrite_each_other(
    app: Flask, crew: Crew, test_id: str, record: dict[str, Any]
) -> None:
    on_survey_day(crew, test_id)
    outcomes: list[int] = []

    def enter(token: str, reading_m: float) -> None:
        api = Api(app.test_client(), token)
        body = {**record["draughts"][0], "reading_m": reading_m}
        outcomes.append(api.post(f"/tests/{test_id}/draughts", body).status_code)

    tokens = [new_token(app, "recorder", name=name) for name in ("A", "B")]
    threads = [threading.Thread(target=enter, args=(token, 3.0 + i)) for i, token in enumerate(tokens)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == [201, 409]
    assert len(list(crew.planner.tests.entries(test_id, "draughts"))) == 1


def test_a_correction_names_the_old_entry_and_both_stay(crew: Crew, test_id: str, record: dict[str, Any]) -> None:
    on_survey_day(crew, test_id)
    draught = record["draughts"][0]
    old = crew.first.tests.enter(test_id, "draughts", draught)
    with pytest.raises(RefusedError) as error:
        crew.first.tests.enter(test_id, "draughts", {**draught, "corrects": old["entry_id"]})
    assert error.value.status == 422
    better = {**draught, "reading_m": 2.9, "corrects": old["entry_id"], "reason": "read from a boat again"}
    new = crew.second.tests.enter(test_id, "draughts", better)
    rows = list(crew.planner.tests.entries(test_id, "draughts"))
    assert [(each["reading_m"], each["corrected_by"]) for each in rows] == [
        (draught["reading_m"], new["entry_id"]),
        (2.9, None),
    ]
    assert rows[1]["recorded_by"] == "S. Aboud"
    with pytest.raises(RefusedError) as error:
        crew.first.tests.enter(test_id, "draughts", better)
    assert refused(error) == (409, "already-corrected")


def test_what_is_withdrawn_counts_no_more_and_is_still_there(crew: Crew, test_id: str, record: dict[str, Any]) -> None:
    on_survey_day(crew, test_id)
    visitor = {"name": "Visitor", "mass_t": 0.08, "x_m": 1, "y_m": 0, "z_m": 6}
    entry = crew.first.tests.enter(test_id, "persons", visitor)
    crew.first.tests.withdraw(test_id, "persons", entry["entry_id"], "went ashore before the draughts")
    rows = list(crew.planner.tests.entries(test_id, "persons"))
    assert [each["withdrawn"] for each in rows] == [False, True]
    assert "P-11" in [each["id"] for each in crew.first.tests.readiness(test_id)["start"]["blocking"]]


@pytest.mark.parametrize(
    ("collection", "facts", "code"),
    [
        ("draughts", {"mark": "nowhere", "reading_m": 3.0}, "mark-unknown"),
        ("draughts", {"mark": "aft port", "reading_m": 99.0}, "water-off-hull"),
        ("freeboards", {"x_m": 20.0, "y_m": 5.0, "point_z_m": 6.0, "reading_m": 6.5}, "water-off-hull"),
        ("soundings", {"tank": "nowhere", "state": "empty", "density_t_per_m3": 1.0, "evidence": "seen"},
         "tank-unknown"),
        ("soundings", {"tank": "FO 1P", "state": "slack", "density_t_per_m3": 0.86, "evidence": "sounded"},
         "sounding-missing"),
        ("instruments", {"id": "I1", "kind": "inclinometer", "length_m": 2.0}, "instrument-length-not-allowed"),
    ],
)  # fmt: skip
def test_what_the_ship_does_not_have_is_refused(
    crew: Crew, test_id: str, collection: Any, facts: dict[str, Any], code: str
) -> None:
    on_survey_day(crew, test_id)
    with pytest.raises(RefusedError) as error:
        crew.first.tests.enter(test_id, collection, facts)
    assert refused(error) == (422, code)


def test_an_assumed_tank_keeps_the_test_from_starting(crew: Crew, test_id: str, record: dict[str, Any]) -> None:
    on_survey_day(crew, test_id)
    for sounding in soundings(record):
        proof = "assumed" if sounding["tank"] == "FW 2P" else sounding["evidence"]
        crew.first.tests.enter(test_id, "soundings", {**sounding, "evidence": proof})
    crew.ship.tests.enter(test_id, "permits", permit())
    blocking = {each["id"]: each for each in crew.first.tests.readiness(test_id)["start"]["blocking"]}
    assert blocking["tank/FW 2P/evidence"]["waivable"] is False
    assert "tank/FO 1P/state" in blocking  # planned empty, found slack: a stop


def test_two_kinds_of_glass_and_a_probe_meet_in_one_record(crew: Crew, test_id: str, record: dict[str, Any]) -> None:
    on_survey_day(crew, test_id)
    tests = crew.first.tests
    tests.enter(test_id, "draughts", {**record["draughts"][0], "condition": "boat"})
    tests.enter(test_id, "weather", {"wind_m_per_s": 2.0, "wave_m": None})
    tests.enter(test_id, "water", {"density_t_per_m3": 1.0210, "density_basis": "air"})
    assert crew.planner.tests.record(test_id).document["water"]["density_basis"] == "air"
    tests.enter(test_id, "water", {"density_t_per_m3": 1.0221})
    tests.enter(test_id, "probes", {"practical_salinity": 29.0, "temperature_c": 11.0})
    found = crew.planner.tests.record(test_id).document
    # 1.0210 in air is 1.02205 in vacuum: weights of 8 t/m³ in air of 1.2 kg/m³ (OIML D 28:2004)
    assert [round(each["density_t_per_m3"], 5) for each in found["water"]["samples"]] == [1.02205, 1.0221]
    assert found["water"]["density_basis"] == "vacuum"
    assert found["water"]["probe_samples"] == [{"practical_salinity": 29.0, "temperature_c": 11.0}]
    assert found["draughts"][0]["condition"] == "boat"
    assert found["test"]["weather"] == "wind 2 m/s"


def test_a_boundary_decision_is_held_against_every_later_survey(
    crew: Crew, vessel_id: str, test_id: str, record: dict[str, Any]
) -> None:
    decision = {"item_class": "nets", "counts": "load", "decided_by": "Owner", "decided_on": "2020-01-01"}
    crew.planner.tests.decide_boundary(vessel_id, decision)
    crew.planner.tests.decide_boundary(vessel_id, {**decision, "counts": "lightship", "decided_on": "2023-01-01"})
    register = crew.planner.tests.boundary(vessel_id)
    assert [each["counts"] for each in register["items"]] == ["load", "lightship"]
    assert [each["counts"] for each in register["in_force"]] == ["lightship"]
    on_survey_day(crew, test_id)
    nets = {"description": "Trawl net", "kind": "surplus", "mass_t": 2.0, "x_m": 5, "y_m": 0, "z_m": 7}
    nets["item_class"] = "nets"
    entered = crew.first.tests.enter(test_id, "items", nets)
    assert "too light" in entered["hint"]
    again = crew.second.tests.enter(test_id, "items", {**nets, "description": "trawl net"})
    assert [each["first"] for each in again["twins"]] == [entered["entry_id"]]
    summed = crew.planner.tests.survey(test_id)
    assert {check["status"] for check in summed["boundary"]} == {"warn"}
    assert summed["landings"][0]["mass_t"] == 2.0
    assert summed["materiality"]["item_moment_t_m"] > 0.0


def test_a_postponed_test_is_planned_again_and_an_abandoned_one_is_over(crew: Crew, test_id: str) -> None:
    tests = crew.planner.tests
    with pytest.raises(RefusedError) as error:
        tests.move(test_id, "postponed")
    assert refused(error) == (422, "stage-evidence-missing")
    assert tests.move(test_id, "postponed", reason="a gale").document["stage"] == "postponed"
    assert tests.move(test_id, "planned").document["stage"] == "planned"
    tests.move(test_id, "abandoned", reason="the ship is sold")
    with pytest.raises(RefusedError) as error:
        tests.put_plan(test_id, plan_document(simulated()), etag=tests.plan(test_id).etag)
    assert refused(error) == (409, "test-over")


def test_a_later_hull_does_not_change_a_test_until_it_is_pinned_again(
    crew: Crew, vessel_id: str, test_id: str, record: dict[str, Any]
) -> None:
    crew.planner.tests.move(test_id, "procedure-issued")
    pinned = crew.planner.tests.get(test_id).document["pinned"]
    wider = {**record["vessel"]["hull"], "shell_allowance_relative": 0.004}
    crew.planner.vessels.put_part(vessel_id, "hull", wider, etag=crew.planner.vessels.part(vessel_id, "hull").etag)
    assert crew.planner.tests.get(test_id).document["pinned"] == pinned
    assert crew.planner.tests.pin(test_id).document["pinned"] == {**pinned, "hull": 2}


def test_an_old_test_is_entered_from_paper_and_a_mistake_in_it_superseded(
    app: Flask, crew: Crew, vessel_id: str, record: dict[str, Any]
) -> None:
    old = {**record, "test": {"date": "2021-06-01", "location": "Old dock"}}
    tests, enterer = crew.planner.tests, client_of(app, "approver", "K. Lund")

    def approved(document: dict[str, Any], **facts: str) -> tuple[str, dict[str, Any]]:
        source = "paper of 2021, box 7"
        opened = tests.open(vessel_id, "inclining-test", origin="entered-record", record_source=source, **facts)
        found = str(opened.document["id"])
        tests.put_record(found, document)
        assert tests.record(found).document == document
        tests.reduce(found)
        for stage in ("preliminary-result", "under-review"):
            tests.move(found, stage)
        for finding in tests.review(found)["open"]:
            tests.answer(found, finding, "not in the paper", "K. Lund")
        with pytest.raises(RefusedError) as error:
            enterer.tests.approve(found, "K. Lund")
        assert refused(error) == (403, "approver-recorded")
        return found, crew.approver.tests.approve(found, "P. Renard")

    with pytest.raises(RefusedError) as error:
        tests.open(vessel_id, "inclining-test", supersedes="0123456789abcdef")
    assert refused(error) == (422, "test-not-found")
    first, approval = approved(old)
    mended = {**old, "items": old["items"][1:]}
    _, replacement = approved(mended, supersedes=first)
    assert tests.get(first).document["stage"] == "superseded"
    lightships = {each["id"]: each for each in crew.planner.lightships.of(vessel_id)}
    assert lightships[approval["lightship"]]["superseded_by"] == replacement["lightship"]
    assert tests.record(first).document == old
    with pytest.raises(RefusedError) as error:
        tests.open(vessel_id, "inclining-test", supersedes=first)
    assert refused(error) == (422, "not-superseded")


def test_a_record_of_the_other_kind_is_refused(crew: Crew, vessel_id: str, record: dict[str, Any]) -> None:
    opened = crew.planner.tests.open(vessel_id, "lightweight-survey", origin="entered-record", record_source="x")
    with pytest.raises(RefusedError) as error:
        crew.planner.tests.put_record(opened.document["id"], record)
    assert refused(error) == (422, "record-of-other-kind")


def test_the_same_key_gives_the_first_answer_again(app: Flask, api: Api, crew: Crew, test_id: str) -> None:
    on_survey_day(crew, test_id)
    sample = {"density_t_per_m3": 1.0221}
    answers = [api.post(f"/tests/{test_id}/water", sample, Idempotency_Key="k-1") for _ in range(3)]
    assert len({each.get_json()["entry_id"] for each in answers}) == 1
    assert len(list(crew.planner.tests.entries(test_id, "water"))) == 1
    other = api.post(f"/tests/{test_id}/water", {"density_t_per_m3": 1.01}, Idempotency_Key="k-1")
    assert other.status_code == 422
