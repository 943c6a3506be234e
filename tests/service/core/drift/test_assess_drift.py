"""The whole answer: what stands in it, and what must not change it."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.drift import Alteration, Drift, DriftRequest, LightshipRecord, assess_drift
from heelwright_service.core.drift.request import Basis
from heelwright_service.core.rules import RuleVessel
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.service.core.drift.builders import SHIP, TESTED, added, drift_of, record, removed, verdict_on

OLDER = record("2005-02-01", "inclining-test", 3950.0, 49.8, 0.0, 7.45, approved=True)
SURVEY = record("2020-05-02", "lightweight-survey", 4062.0, 50.3, 0.02)
CALCULATED = record("2021-01-01", "calculation", 4070.0, 50.3, 0.02, 7.56)
HISTORY = [OLDER, TESTED, SURVEY, CALCULATED]
LOG = [added("2016-01-01", 30.0, 80.0, 0.0, 15.0), removed("2022-01-01", 4.0)]


def test_a_request_and_an_answer_are_plain_documents() -> None:
    document = {
        "vessel": {"kind": "passenger", "length_m": 105.0, "keel_laid": "2011-01-01", "name": "Invented"},
        "as_of": "2024-01-01",
        "lightships": [
            {
                "date": "2015-06-10",
                "basis": "inclining-test",
                "mass_t": 4000,
                "lcg_m": 50,
                "vcg_m": 7.5,
                "approved": True,
            },
            {
                "date": "2020-05-02",
                "basis": "lightweight-survey",
                "mass_t": 4090,
                "lcg_m": 50.3,
                "uncertainties": {"mass_t": 12.0},
            },
        ],
        "alterations": [{"date": "2016-01-01", "kind": "added", "mass_t": 30, "x_m": 80, "y_m": 0, "z_m": 15}],
    }
    answer = to_document(assess_drift(from_document(DriftRequest, document)))
    assert json.loads(json.dumps(answer, allow_nan=False)) == answer
    assert {"baseline", "items", "logged", "unexplained", "growth", "crossings", "next_due"} <= answer.keys()
    item = answer["items"][0]
    assert {"date", "basis", "delta", "implied_centre_m", "verdicts", "action"} <= item.keys()
    assert item["delta"]["mass_t"] == {"value": 90.0, "standard": pytest.approx((16.0**2 + 12.0**2) ** 0.5)}
    assert item["delta"]["vcg_m"] is None
    named = {"rule", "quantity", "value", "limit", "comparison", "regulatory", "measured", "probability_exceeded"}
    assert named | {"source", "confidence"} <= item["verdicts"][0].keys()
    assert answer["rule_set"] == "solas-2009"
    assert item["action"] == "re-incline"


def test_differences_carry_the_combined_uncertainty_of_both_lightships() -> None:
    delta = drift_of(HISTORY).items[0].delta
    assert delta.mass_t.value == pytest.approx(62.0)
    assert delta.mass_t.standard == pytest.approx((16.0**2 + (0.004 * 4062.0) ** 2) ** 0.5)
    assert delta.lcg_m.standard == pytest.approx(0.105 * 2.0**0.5)


def test_the_unexplained_part_is_what_was_measured_less_what_was_logged_by_then() -> None:
    drift = drift_of(HISTORY, LOG)
    assert drift.unexplained is not None
    assert drift.unexplained.date == "2020-05-02"
    assert drift.unexplained.mass_t.value == pytest.approx(62.0 - 30.0)
    calculated_lcg = (4000.0 * 50.0 + 30.0 * 80.0) / 4030.0
    assert drift.unexplained.lcg_m.value == pytest.approx(50.3 - calculated_lcg)
    assert drift.unexplained.vcg_m is None
    survey, baseline, log = 0.004 * 4062.0, 16.0, 0.05 * 30.0
    assert drift.unexplained.mass_t.standard == pytest.approx((survey**2 + baseline**2 + log**2) ** 0.5)


def test_an_unexplained_change_within_its_uncertainty_has_no_place() -> None:
    log = [added("2016-01-01", 60.0)]
    drift = drift_of(HISTORY, log)
    assert drift.unexplained is not None
    assert drift.unexplained.implied_centre_m is None
    assert drift.unexplained.implied_centre_remark.startswith("Undefined")


def test_growth_outside_the_ship_is_called_an_error_before_it_is_adopted() -> None:
    far = record("2020-05-02", "lightweight-survey", 4070.0, 51.04)
    drift = drift_of([TESTED, far])
    assert drift.items[0].action == "adopt"
    assert drift.items[0].error_likelier_than_weight
    assert "error is likelier than weight" in drift.cautions[0]


def test_the_next_survey_of_a_passenger_ship_is_five_years_after_the_last() -> None:
    approved = [replace(each, approved=True) if each is SURVEY else each for each in HISTORY]
    due = drift_of(approved).next_due
    assert due is not None
    assert (due.date, due.rule, due.overdue, due.if_approved) == ("2025-05-02", "T-05", False, None)
    assert drift_of(HISTORY, vessel=replace(SHIP, kind="cargo")).next_due is None


@pytest.mark.parametrize(
    ("vessel", "basis", "date", "then"),
    [
        # SOLAS 1974 II-1/5.5: five years; France, division 228, art. 228-3.09 para 4: ten years
        (SHIP, "lightweight-survey", "2020-06-10", "2025-01-31"),
        (RuleVessel("fishing", 31.0), "inclining-test", "2025-06-10", "2030-01-31"),
    ],
)
def test_a_test_that_is_not_approved_moves_no_due_date_and_says_what_it_would_do(
    vessel: RuleVessel, basis: Basis, date: str, then: str
) -> None:
    later = record("2020-01-31", basis, 4010.0, vcg_m=None if basis == "lightweight-survey" else 7.5)
    drift = drift_of([TESTED, later], vessel=vessel, rule_set=None, as_of="2024-01-01")
    assert drift.next_due is not None
    assert (drift.next_due.date, drift.next_due.counted_from) == (date, "2015-06-10")
    assert drift.next_due.if_approved is not None
    assert (drift.next_due.if_approved.date, drift.next_due.if_approved.counted_from) == (then, "2020-01-31")
    assert any("of 31 Jan 2020" in text and "no due date counts from it" in text for text in drift.cautions)


def test_a_fishing_vessel_is_inclined_again_after_ten_years() -> None:
    trawler = RuleVessel("fishing", 31.0)
    drift = drift_of([replace(TESTED, mass_t=300.0, lcg_m=14.0)], vessel=trawler, rule_set=None)
    assert drift.rule_set == "fishing-24m"
    assert drift.next_due is not None
    assert (drift.next_due.date, drift.next_due.due) == ("2025-06-10", "inclining-test")


def test_a_new_inclining_test_is_adopted_once_approved_and_the_answer_says_so() -> None:
    again = record("2021-01-01", "inclining-test", 4100.0, 50.2, 0.0, 7.6)
    drift = drift_of([TESTED, again])
    assert drift.items[0].action == "adopt"
    assert drift.items[0].adopted is not None
    assert drift.items[0].adopted.vcg_m == 7.6
    assert any("becomes the baseline" in text for text in drift.cautions)


def test_the_answer_defers_to_the_flag_and_names_its_assumptions() -> None:
    drift = drift_of(HISTORY, rule_set=None)
    assert any("flag Administration" in text for text in drift.cautions)
    assert any("No rule set was named" in text for text in drift.cautions)
    assert any("office default" in text for text in drift.cautions)
    assert len(drift.cautions) == len(set(drift.cautions))


def test_a_kind_that_no_rule_knows_is_said_and_not_guessed() -> None:
    drift = drift_of(HISTORY, vessel=replace(SHIP, kind="lightvessel"))
    assert drift.next_due is None
    assert any("lightvessel" in text for text in drift.cautions)


def test_a_change_since_an_approved_survey_is_told_beside_the_one_since_the_test() -> None:
    approved = replace(SURVEY, approved=True)
    later = record("2023-01-01", "lightweight-survey", 4081.0, 50.3)
    drift = drift_of([TESTED, approved, later])
    assert drift.items[1].action == "re-incline"
    assert any("of 2 May 2020" in text and "19 t more" in text for text in drift.cautions)


@pytest.mark.parametrize(
    ("heavier_t", "against", "value"),
    [
        # 4000 t inclined, 3950 t adopted: 4040 t is 40 t from the test and 90 t, over 2 %, from what is approved
        (4040.0, "lightweight survey of 2 May 2020", 90.0),
        (3990.0, "lightweight survey of 2 May 2020", 40.0),
        (3930.0, "inclining test of 10 Jun 2015", -70.0),
    ],
)
def test_of_the_last_test_and_the_approved_information_the_graver_comparison_counts(
    heavier_t: float, against: str, value: float
) -> None:
    # SOLAS 1974 II-1/5.5 compares with the approved stability information; changes add up from the last inclining
    adopted = record("2020-05-02", "lightweight-survey", 3950.0, approved=True)
    item = drift_of([TESTED, adopted, record("2023-01-01", "lightweight-survey", heavier_t)]).items[1]
    verdict = verdict_on(item, "D-07")
    assert verdict.compared_with == against
    assert verdict.value == pytest.approx(value)
    assert item.action == ("re-incline" if abs(value) > 79.0 else "adopt")


@pytest.mark.parametrize(
    ("log", "needed"),
    [
        ([], ["D-07, D-08 need a lightweight survey", "D-11, D-12, D-14, D-15 need an alteration logged"]),
        ([added("2016-01-01", 30.0)], ["D-07, D-08 need a lightweight survey"]),
    ],
)
def test_what_a_rule_waits_for_is_said(log: list[Alteration], needed: list[str]) -> None:
    waiting = [text for text in drift_of([TESTED], log).cautions if text.startswith("Not judged yet")]
    assert [
        text.removeprefix("Not judged yet: ")[: len(told)] for text, told in zip(waiting, needed, strict=True)
    ] == needed


@settings(max_examples=12)
@given(st.permutations(HISTORY), st.permutations(LOG))
def test_the_order_of_the_lists_does_not_matter(records: list[LightshipRecord], log: list[object]) -> None:
    assert drift_of(records, log) == drift_of(HISTORY, LOG)  # type: ignore[arg-type]


def moved_by(drift_x_m: float) -> Drift:
    records = [replace(each, lcg_m=each.lcg_m + drift_x_m) for each in HISTORY]
    log = [replace(each, x_m=each.x_m + drift_x_m) for each in LOG]
    vessel = replace(SHIP, aft_x_m=drift_x_m - 5.0, forward_x_m=drift_x_m + 110.0)
    return drift_of(records, log, vessel=vessel)


@settings(max_examples=12)
@given(st.floats(-60.0, 60.0))
def test_a_shift_of_the_origin_leaves_differences_verdicts_and_actions(shift_m: float) -> None:
    plain, moved = moved_by(0.0), moved_by(shift_m)
    for one, other in zip(plain.items, moved.items, strict=True):
        assert other.delta.lcg_m.value == pytest.approx(one.delta.lcg_m.value, abs=1e-9)
        assert other.delta.lcg_m.standard == pytest.approx(one.delta.lcg_m.standard)
        assert other.action == one.action
        assert [each.regulatory for each in other.verdicts] == [each.regulatory for each in one.verdicts]
    assert moved.logged.delta.lcg_m.value == pytest.approx(plain.logged.delta.lcg_m.value, abs=1e-9)
    assert moved.logged.delta.lcg_m.standard == pytest.approx(plain.logged.delta.lcg_m.standard)


@settings(max_examples=12)
@given(st.floats(0.1, 10.0))
def test_a_ship_of_another_size_with_the_same_shares_gets_the_same_verdicts(factor: float) -> None:
    records = [replace(each, mass_t=each.mass_t * factor) for each in HISTORY]
    log = [replace(each, mass_t=each.mass_t * factor) for each in LOG]
    plain, scaled = drift_of(HISTORY, LOG), drift_of(records, log)
    for one, other in zip(plain.items, scaled.items, strict=True):
        assert other.action == one.action
        for here, there in zip(one.verdicts, other.verdicts, strict=True):
            assert there.probability_exceeded == pytest.approx(here.probability_exceeded, abs=1e-9)
            assert (there.measured, there.regulatory) == (here.measured, here.regulatory)
    assert plain.growth is not None
    assert scaled.growth is not None
    assert scaled.growth.rate_t_per_year == pytest.approx(factor * plain.growth.rate_t_per_year)
