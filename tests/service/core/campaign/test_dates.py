"""The calendar of a test, counted back from its date."""

from __future__ import annotations

from datetime import date

import pytest
from heelwright_service.core.campaign.dates import DUE_DAYS, back_plan, due_on, notice_days, working_windows
from heelwright_service.core.campaign.plan_document import Bookings, TimeWindow
from heelwright_service.core.errors import CoreError
from hypothesis import given
from hypothesis import strategies as st

WEDNESDAY = "2031-05-14"
DAY = TimeWindow("2031-05-14T05:00:00+00:00", "2031-05-14T20:00:00+00:00")


def by_key(**bookings: object) -> dict[str, str]:
    return {each.key: each.date for each in back_plan(WEDNESDAY, Bookings(**bookings), "2031-04-01")}


def test_the_advisory_survey_is_a_week_and_the_survey_a_day_ahead() -> None:
    dates = by_key()
    assert (dates["advisory-survey"], dates["survey"], dates["test"]) == ("2031-05-07", "2031-05-13", WEDNESDAY)


def test_where_the_test_comes_first_the_survey_follows() -> None:
    assert due_on("survey", WEDNESDAY, "test-first") == "2031-05-15"


def test_the_procedure_is_due_by_the_slower_of_rule_and_agency() -> None:
    # 46 CFR 170.085: at least two weeks before the test
    assert by_key()["procedure"] == "2031-04-30"
    assert by_key(notice_days=14, agency_turnaround_days=35)["procedure"] == "2031-04-09"
    assert notice_days(Bookings(notice_days=60, agency_turnaround_days=35))[0] == 60


@given(st.dates(date(2025, 1, 1), date(2040, 12, 31)), st.integers(0, 90))
def test_a_notice_never_falls_on_a_weekend_nor_too_late(day: date, days: int) -> None:
    plan = back_plan(day.isoformat(), Bookings(notice_days=days), "2025-01-01")
    due = date.fromisoformat(next(each.date for each in plan if each.key == "procedure"))
    assert due.weekday() < 5
    assert days <= (day - due).days <= days + 2


@given(st.dates(date(2025, 1, 1), date(2040, 12, 31)))
def test_moving_the_test_moves_every_survey_date_with_it(day: date) -> None:
    for key in ("advisory-survey", "survey", "test"):
        assert (date.fromisoformat(due_on(key, day.isoformat())) - day).days == DUE_DAYS[key][0]


def test_what_is_late_and_not_done_is_overdue() -> None:
    plan = {e.key: e.state for e in back_plan(WEDNESDAY, Bookings(), "2031-05-08", done=["booking"])}
    assert plan["booking"] == "done"
    assert plan["tank-answers"] == "overdue"
    assert plan["test"] == "due"
    assert plan["report"] == "ahead"


def test_a_window_is_the_common_part_of_daylight_and_tide() -> None:
    tide = TimeWindow("2031-05-14T18:00:00+00:00", "2031-05-14T23:00:00+00:00")
    assert [w.minutes for w in working_windows(DAY, [tide], 60.0)] == [120.0]
    assert working_windows(DAY, [tide], 121.0) == []


def test_offsets_of_two_clocks_are_understood() -> None:
    tide = TimeWindow("2031-05-14T08:00:00+02:00", "2031-05-14T12:00:00+02:00")
    assert working_windows(DAY, [tide], 200.0)[0].minutes == 240.0


def test_too_little_water_closes_a_window() -> None:
    tide = TimeWindow("2031-05-14T08:00:00+00:00", "2031-05-14T12:00:00+00:00", 4.0)
    assert working_windows(DAY, [tide], 60.0, 4.5) == []


def test_without_a_tide_the_daylight_is_the_window() -> None:
    assert working_windows(DAY, [], 60.0)[0].minutes == 900.0


def test_a_date_that_cannot_be_read_is_named() -> None:
    with pytest.raises(CoreError) as refused:
        back_plan("14/05/2031", Bookings(), "2031-04-01")
    assert (refused.value.code, refused.value.pointer) == ("date-not-iso", "/date")
