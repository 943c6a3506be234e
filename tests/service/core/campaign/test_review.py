"""The review of a result, the preliminary mark, the interim request and the put-back list."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from heelwright_service.core.campaign.boundary import BoundaryDecision
from heelwright_service.core.campaign.interim import interim_request, preliminary, put_back
from heelwright_service.core.campaign.plan_document import Attachment, DraughtPlan
from heelwright_service.core.campaign.preparations import work_list
from heelwright_service.core.campaign.review import review_result
from heelwright_service.core.campaign.review_document import (
    Answer,
    Expectation,
    ReviewInputs,
    SettledDeviation,
    Signature,
    Statements,
    unanswered,
)
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import (
    ApprovedLightship,
    Item,
    Person,
    ProbeSample,
    TableDocument,
    TableRow,
    TestRecord,
    WaterSample,
)
from heelwright_service.core.reduction import reduce_record
from heelwright_service.core.rules import RuleVessel
from heelwright_service.core.test_result import TestResult

from tests.service.core.campaign.test_preparations import PLAN, TANK_PLAN
from tests.service.core.campaign.test_survey import CABLE

RECORD_FILE = Path(__file__).parents[3] / "reference" / "simulated" / "box-14.record.json"
APPROVED = ApprovedLightship(2326.0, 37.64, 9.95, 0.0, "2026-05-01")


@cache
def record() -> TestRecord:
    """A simulated test of a box with a tank, a person, cold water and an approved lightship near the truth."""
    found = from_document(TestRecord, json.loads(RECORD_FILE.read_text()))
    warm = [replace(each, temperature_c=11.0) for each in found.water.samples]
    water = replace(found.water, samples=[*warm, *(WaterSample(warm[0].density_t_per_m3, 1.0, 11.0) for _ in range(3))])
    vessel = replace(found.vessel, approved_lightship=APPROVED)
    persons = found.persons or [Person(0.08, 30.0, 0.0, 11.0, "R. Osei")]
    return replace(found, vessel=vessel, water=water, persons=persons, test=replace(found.test, date="2031-05-14"))


@cache
def result() -> TestResult:
    return reduce_record(record())


def inputs(**changes: object) -> ReviewInputs:
    found = ReviewInputs(
        "inclining-test",
        record(),
        result(),
        "periodic",
        [SettledDeviation("two men walked", "+3 mm", "R. Osei", "L. Brandt")],
        [
            Signature("person-in-charge", "R. Osei", "2031-05-14T11:00:00+00:00"),
            Signature("witness", "L. Brandt", "2031-05-14T11:05:00+00:00"),
        ],
        [
            Attachment("weight-certificates", "C-1", "2031-12-31"),
            Attachment("hydrometer-certificate", "H-1", "2032-01-01"),
        ],
        DraughtPlan(datum="moulded baseline"),
        decisions=[BoundaryDecision("nets", "load", "Owner", "2028-01-01")],
        statements=Statements("none", "as expected", instruments="one batten was moved and moved back"),
        expectation=Expectation(2326.0, 37.64, 0.1),
    )
    return replace(found, **changes)


def reviewed(**changes: object) -> dict[str, str]:
    return {each.id: each.status for each in review_result(inputs(**changes))}


def test_all_twenty_six_comments_are_looked_at() -> None:
    assert list(reviewed()) == [f"RR-{n:02d}" for n in range(1, 27)]


def test_a_sound_test_is_not_sent_back() -> None:
    # The simulated box carries its centre 1.85 of its depth above baseline: a reviewer would ask, and only that.
    assert {each for each, status in reviewed().items() if status != "pass"} == {"RR-18"}


def with_record(**changes: object) -> dict[str, object]:
    return {"record": replace(record(), **changes)}


def with_result(**changes: object) -> dict[str, object]:
    return {"result": replace(result(), **changes)}


def on_an_even_keel_table_with_trim() -> dict[str, object]:
    """The box with a table for even keel alone, trimmed by one and a half per cent of her length."""
    row = TableRow(3.0, 2400.0, 36.0, 1.5, 8.0)
    vessel = replace(record().vessel, hull=None, hydrostatic_table=TableDocument([row]))
    ship = result().as_inclined
    trimmed = replace(ship, waterline=replace(ship.waterline, trim_m=0.015 * vessel.length_bp_m))
    return {"record": replace(record(), vessel=vessel), "result": replace(result(), as_inclined=trimmed)}


def with_one_instrument_off_the_plot() -> dict[str, object]:
    small = result().small_angle or pytest.fail("no small-angle result")
    first = record().instruments[0].id
    fit = replace(small.fit, points=[each for each in small.fit.points if each.instrument != first])
    return with_result(small_angle=replace(small, fit=fit))


def with_instruments_apart() -> dict[str, object]:
    worse = [replace(each, status="warn") if each.id.startswith("C-07-instruments") else each
             for each in result().checks]  # fmt: skip
    return {**with_result(checks=worse), "statements": Statements("none", "as expected")}


FAULTS: list[tuple[str, dict[str, object]]] = (
    [
        ("RR-03", with_one_instrument_off_the_plot()),
        ("RR-04", with_instruments_apart()),
        ("RR-05", {"deviations": [SettledDeviation("two men walked", "+3 mm", "R. Osei", "L. Brandt", True)]}),
        ("RR-06", on_an_even_keel_table_with_trim()),
        ("RR-07", with_result(as_inclined=replace(result().as_inclined, volume_m3=2000.0))),
        ("RR-10", with_record(soundings=[replace(each, state="pressed") for each in record().soundings])),
        ("RR-12", with_record(items=[Item("Liferaft", "missing", 0.4, 20.0, 4.0, 9.0)])),
        ("RR-18", with_record(vessel=replace(record().vessel, depth_m=None))),
        ("RR-22", with_result(lightship_by_method={})),
        ("RR-01", with_record(readings=record().readings[1:])),
        ("RR-02", with_record(readings=[replace(record().readings[0], withdrawn_reason=" "), *record().readings])),
        ("RR-02", with_record(readings=[*record().readings, record().readings[-1]])),
        ("RR-05", {"deviations": [SettledDeviation("a taut line", "-20 mm", "R. Osei")]}),
        ("RR-08", {"draught_plan": DraughtPlan()}),
        ("RR-09", with_record(water=replace(record().water, samples=record().water.samples[:1]))),
        ("RR-11", with_record(persons=[*record().persons, Person(0.1, 1.0, 1.0, 1.0)])),
        ("RR-13", {"items": [CABLE, replace(CABLE, id="2")]}),
        ("RR-14", {"result": replace(result(), lightship=replace(result().lightship, tcg_m=None))}),
        ("RR-15", {"expectation": Expectation(2326.0, 39.0, 0.1)}),
        ("RR-15", {"expectation": None}),
        ("RR-17", {"statements": Statements(None, "c")}),
        ("RR-19", {"statements": Statements("none"),
                   "result": replace(result(), lightship=replace(result().lightship, mass_t=2450.0))}),
        ("RR-20", {"attachments": []}),
        ("RR-20", {"attachments": [Attachment("weight-certificates", "C-1", "2030-12-31"),
                                   Attachment("hydrometer-certificate", "H-1")]}),
        ("RR-21", {"signatures": []}),
        ("RR-23", {"result": replace(result(), lightship_table=result().lightship_table[1:])}),
        ("RR-24", {"items": [replace(CABLE, item_class="spares")]}),
        ("RR-25", {"purpose": "sister-ship"}),
        ("RR-24", {"decisions": []}),
        ("RR-26", {"result": replace(result(), lightship=replace(result().lightship, vcg_m=None))}),
    ]
)  # fmt: skip
STATED_BY_CONSTRUCTION = {"RR-16"}
"""Axes, planes and signs stand in every result; nothing that a user does can leave them out."""


@pytest.mark.parametrize(("rule", "changes"), FAULTS)
def test_each_fault_is_found_by_its_own_comment(rule: str, changes: dict[str, object]) -> None:
    assert reviewed(**changes)[rule] != "pass"


def test_every_comment_has_a_fault_that_brings_it_and_a_test_that_does_not() -> None:
    every = {f"RR-{n:02d}" for n in range(1, 27)}
    assert {rule for rule, _ in FAULTS} == every - STATED_BY_CONSTRUCTION
    # The simulated box carries its centre high; a depth to match is what a reviewer would not ask about.
    deep = replace(record().vessel, depth_m=(result().lightship.vcg_m or 0.0) / 0.7)
    assert set(reviewed(**with_record(vessel=deep)).values()) == {"pass"}


def test_without_any_decision_the_boundary_is_said_to_be_undecided() -> None:
    found = {each.id: each for each in review_result(inputs(decisions=[]))}["RR-24"]
    assert found.status == "warn"
    assert found.text.startswith("Nobody has decided")


def test_what_was_signed_elsewhere_is_told_and_does_not_count() -> None:
    there = [Signature("witness", "L. Brandt", "2031-05-14T11:05:00+00:00")]
    found = {each.id: each for each in review_result(inputs(signatures=[], signed_there=there))}["RR-21"]
    assert found.status == "warn"
    assert "By the word of the imported file: witness L. Brandt" in found.text


def test_a_probe_counts_as_a_sample_of_the_water() -> None:
    probes = [ProbeSample(34.0, 12.0, depth) for depth in (0.5, 1.5, 2.5)]
    water = replace(record().water, samples=[], probe_samples=probes)
    found = {each.id: each for each in review_result(inputs(**with_record(water=water)))}["RR-09"]
    assert found.status == "pass"
    assert "3 by salinity and temperature" in found.text
    fewer = replace(record().water, samples=record().water.samples[:1], probe_samples=probes[:2])
    assert reviewed(**with_record(water=fewer))["RR-09"] == "pass"


def test_a_free_surface_without_a_slack_tank_is_found() -> None:
    pressed = [replace(each, state="pressed") for each in record().soundings]
    assert reviewed(**with_record(soundings=pressed))["RR-10"] == "warn"


def test_growth_whose_centre_lies_below_the_keel_is_found() -> None:
    vessel = replace(record().vessel, approved_lightship=replace(APPROVED, mass_t=2240.0, vcg_m=10.5))
    found = {each.id: each for each in review_result(inputs(**with_record(vessel=vessel)))}
    assert found["RR-18"].status == "warn"
    assert "likelier" in found["RR-18"].text


def test_a_finding_is_settled_by_an_answer_with_a_name() -> None:
    findings = review_result(inputs(deviations=[SettledDeviation("a taut line", "-20 mm", "R. Osei")]))
    open_ones = [each.id for each in unanswered(findings, [])]
    assert "RR-05" in open_ones
    assert "RR-05" in [each.id for each in unanswered(findings, [Answer("RR-05", "seen by the witness", " ")])]
    answered = [Answer("RR-05", "seen by the witness", "K. Lund")]
    assert "RR-05" not in [each.id for each in unanswered(findings, answered)]


SHIP = RuleVessel("passenger", 75.0)


def test_a_result_near_the_assumed_lightship_passes_and_is_marked_preliminary() -> None:
    found = preliminary(result(), APPROVED, SHIP, "solas-2020")
    assert found.mark.startswith("Preliminary")
    assert [each.rule for each in found.verdicts] == ["D-07", "D-08"]
    assert all(each.regulatory == "pass" for each in found.verdicts)


def test_a_result_beyond_a_limit_from_weak_memory_passes_with_an_action_and_says_so() -> None:
    # Marine Technical Note 04-95, from memory with medium confidence: 1 % against the calculated lightship
    assumed = replace(APPROVED, mass_t=2270.0)
    sound = replace(result(), checks=[])
    found = preliminary(sound, assumed, SHIP, "us-mtn", against="survey-against-calculation")
    assert (found.outcome, found.marginal, found.needs_action) == ("pass", True, True)
    assert "D-25" in found.text
    assert "advised, from weak memory" in found.text


def test_a_result_beyond_two_per_cent_fails_and_needs_an_action() -> None:
    # SOLAS II-1/5.5: re-incline where the displacement deviates by more than 2 %
    found = preliminary(result(), replace(APPROVED, mass_t=2270.0), SHIP, "solas-2020")
    assert (found.outcome, found.needs_action) == ("fail", True)
    assert "D-07" in found.text


def test_without_an_assumed_lightship_nothing_is_said_to_pass() -> None:
    clean = replace(result(), checks=[each for each in result().checks if each.status != "fail"])
    assert preliminary(clean, None, SHIP).outcome == "undecided"


def test_the_interim_request_asks_for_the_upper_end_of_the_interval_and_is_no_approval() -> None:
    found = interim_request(result(), "2031-05-14", ["No deck cargo."], expiry_days=30)
    doubts = (result().uncertainty or pytest.fail("no uncertainty")).quantities["vcg_m"]
    assert found.vcg_m == doubts.high_95
    assert found.vcg_m > (result().lightship.vcg_m or 0.0)
    assert found.expires == "2031-06-13"
    assert "no approval" in found.mark


def test_an_interim_request_needs_limits_and_an_interval() -> None:
    with pytest.raises(CoreError) as refused:
        interim_request(result(), "2031-05-14", [" "])
    assert refused.value.code == "limits-missing"
    with pytest.raises(CoreError) as refused:
        interim_request(replace(result(), uncertainty=None), "2031-05-14", ["x"])
    assert refused.value.code == "uncertainty-missing"


def test_a_survey_asks_with_the_approved_vcg_or_not_at_all() -> None:
    survey = replace(result(), lightship=replace(result().lightship, vcg_m=None))
    assert interim_request(survey, "2031-05-14", ["x"], APPROVED).vcg_m == 9.95
    with pytest.raises(CoreError) as refused:
        interim_request(survey, "2031-05-14", ["x"])
    assert refused.value.code == "vcg-unknown"


def test_everything_taken_apart_for_the_test_is_put_back() -> None:
    done = [replace(each, state="done") for each in work_list(PLAN, TANK_PLAN)]
    keys = [each.key for each in put_back(TANK_PLAN, done, [CABLE])]
    assert keys[0] == "access/Void 7"
    assert {"system/Wing crossover", "valves", "boats", "weights-off", "stores", "landed/1"} <= set(keys)
    assert "weights-off" not in [each.key for each in put_back(TANK_PLAN, [])]


def test_a_result_goes_through_json_and_comes_back_the_same() -> None:
    again = from_document(TestResult, json.loads(json.dumps(to_document(result()))))
    assert to_document(again) == to_document(result())
