"""When surveys and tests fall due."""

from __future__ import annotations

from datetime import date

import pytest
from heelwright_service.core.rules import RuleVessel, calendar_for, calendar_rule, due_date, next_due, rule_set
from heelwright_service.core.rules.due_dates import add_months


def test_a_passenger_ship_is_surveyed_within_five_years_of_her_last_survey_or_test() -> None:
    # SOLAS 1974 II-1/5.5
    found = due_date(
        calendar_rule("T-05"), {"inclining-test": "2015-06-10", "lightweight-survey": "2020-05-02"}, "2024-01-01"
    )
    assert found is not None
    assert (found.date, found.counted_from, found.overdue) == ("2025-05-02", "2020-05-02", False)
    assert found.warn_from == "2024-11-02"
    assert found.due == "lightweight-survey"


def test_a_survey_does_not_put_off_the_ten_yearly_inclining_of_a_fishing_vessel() -> None:
    # France, division 228, art. 228-3.09 para 4
    events = {"inclining-test": "2014-04-01", "lightweight-survey": "2022-04-01"}
    found = due_date(calendar_rule("T-11"), events, "2024-04-02")
    assert found is not None
    assert (found.date, found.overdue) == ("2024-04-01", True)


def test_the_last_day_itself_is_not_overdue() -> None:
    found = due_date(calendar_rule("T-11"), {"inclining-test": "2014-04-01"}, "2024-04-01")
    assert found is not None
    assert not found.overdue


@pytest.mark.parametrize(
    ("start", "months", "expected"),
    [
        ("2020-02-29", 60, "2025-02-28"),
        ("2020-02-29", 48, "2024-02-29"),
        ("2021-08-31", -6, "2021-02-28"),
        ("2021-12-15", 1, "2022-01-15"),
        ("2021-11-30", 1, "2021-12-30"),
    ],
)
def test_a_day_that_the_month_does_not_have_becomes_its_last(start: str, months: int, expected: str) -> None:
    assert add_months(date.fromisoformat(start), months).isoformat() == expected


def test_cargo_ships_have_no_periodic_survey_and_fishing_vessels_under_24_m_no_ten_year_rule() -> None:
    assert calendar_for(rule_set("solas-2020"), RuleVessel("cargo", 120.0)) == []
    assert calendar_for(rule_set("fishing-24m"), RuleVessel("fishing", 23.0)) == []


@pytest.mark.parametrize(
    ("rule_set_id", "vessel", "rule", "due"),
    [
        # TP 10943 part III s. 20(3): up to 24 m a signed declaration may stand in place of the survey
        ("canada-passenger", RuleVessel("passenger", 24.0), "T-09", "lightweight-survey"),
        ("canada-passenger", RuleVessel("passenger", 24.1), "T-08", "lightweight-survey"),
        # SOR/96-118 s. 57: column-stabilized platforms are inclined, others surveyed
        ("canada-offshore", RuleVessel("offshore-unit", 80.0, column_stabilized=True), "T-18", "inclining-test"),
        ("canada-offshore", RuleVessel("offshore-unit", 80.0), "T-18", "lightweight-survey"),
    ],
)
def test_each_vessel_has_one_five_yearly_date_of_her_own(
    rule_set_id: str, vessel: RuleVessel, rule: str, due: str
) -> None:
    assert [(each.id, each.due) for each in calendar_for(rule_set(rule_set_id), vessel)] == [(rule, due)]


def test_the_first_of_several_due_dates_counts() -> None:
    rules = [calendar_rule("T-11"), calendar_rule("T-05")]
    events = {"inclining-test": "2014-04-01", "lightweight-survey": "2021-01-01"}
    found = next_due(rules, events, "2023-01-01")
    assert found is not None
    assert found.rule == "T-11"
    assert next_due(rules, {}, "2023-01-01") is None


def test_only_column_stabilized_units_have_the_five_yearly_survey_of_the_1989_code() -> None:
    code = rule_set("modu-1989")
    assert [each.id for each in calendar_for(code, RuleVessel("semi-submersible", 90.0, column_stabilized=True))]
    assert not calendar_for(code, RuleVessel("jack-up", 70.0))
