"""Dates of the calendar count as done by what is on record, and only the dates that a test has are asked."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.campaign.dates import DUE_DAYS, back_plan
from heelwright_service.core.campaign.plan_document import Bookings, TestPlan
from heelwright_service.core.campaign.preparations import ItemState, Preparation, work_list
from heelwright_service.core.campaign.reached import OnRecord, asked, calendar, reached
from heelwright_service.core.campaign.stages import Stage
from heelwright_service.core.campaign.tank_document import PlannedTank, TankPlan
from heelwright_service.core.errors import CoreError

PLANNED = OnRecord("planned", TestPlan(date="2031-05-14"))
ENTERED = TankPlan([PlannedTank("fore peak", "empty", entry=True)])


def with_work(state: ItemState, *keys: str) -> OnRecord:
    items = work_list(PLANNED.plan, ENTERED)
    assert {item.key for item in items}.issuperset(keys)
    return replace(PLANNED, work=[replace(item, state=state) if item.key in keys else item for item in items])


def test_nothing_is_done_of_a_test_that_was_just_opened() -> None:
    assert reached(PLANNED) == set()


@pytest.mark.parametrize(
    ("date", "keys"),
    [
        ("yard-work-ends", ("yard-gear", "yard-work")),
        ("weights-certified", ("weights",)),
        ("surplus-landed", ("surplus",)),
        ("gas-free", ("tank/fore peak/gas-free", "entry-permits")),
    ],
)
def test_a_date_is_done_once_all_its_work_is_settled(date: str, keys: tuple[str, ...]) -> None:
    assert date in reached(with_work("done", *keys))
    assert date in reached(with_work("waived", *keys))
    assert date not in reached(with_work("done", *keys[1:]))


def test_work_that_the_plan_no_longer_asks_for_settles_no_date() -> None:
    left = Preparation("weights", "", "", "", "yard", state="done", obsolete=True)
    assert "weights-certified" not in reached(replace(PLANNED, work=[left]))


def test_the_ship_has_answered_once_no_tank_is_open() -> None:
    assert "tank-answers" not in reached(replace(PLANNED, answers=[]))
    assert "tank-answers" not in reached(replace(PLANNED, answers=["agreed", "open"]))
    assert "tank-answers" in reached(replace(PLANNED, answers=["agreed", "cannot"]))


def test_what_is_booked_is_done_before_its_day() -> None:
    booked = Bookings(berth_from="2031-05-12T06:00:00+02:00", crane_from="2031-05-14T06:00:00+02:00")
    assert reached(replace(PLANNED, plan=TestPlan(bookings=booked))) == {"booking", "resources-booked"}


def test_a_survey_is_not_done_by_closing_the_test_day() -> None:
    found = reached(replace(PLANNED, stage="test-day", closed=["test-day"]))
    assert "test" in found
    assert "survey" not in found


@pytest.mark.parametrize(
    ("stage", "result", "report"), [("test-day", False, False), ("under-review", True, False), ("approved", True, True)]
)
def test_result_and_report_are_done_by_the_stage(stage: Stage, result: bool, report: bool) -> None:
    found = reached(replace(PLANNED, stage=stage))
    assert ("preliminary-result" in found, "report" in found) == (result, report)


def test_an_inclining_test_has_every_date_and_a_lightweight_survey_no_weights_and_one_survey_day() -> None:
    assert asked(PLANNED) == list(DUE_DAYS)
    left_out = set(DUE_DAYS) - set(asked(replace(PLANNED, kind="lightweight-survey")))
    assert left_out == {"survey", "resources-booked", "weights-certified"}


def test_the_day_of_a_lightweight_survey_is_called_a_survey() -> None:
    texts = {row.key: row.text for row in calendar(replace(PLANNED, kind="lightweight-survey"), "2031-04-01")}
    assert texts["test"].startswith("The survey")
    assert {row.key: row.text for row in calendar(PLANNED, "2031-04-01")}["test"] == "The test."


def test_a_calendar_without_a_day_is_refused() -> None:
    with pytest.raises(CoreError, match="no date to count back from"):
        calendar(replace(PLANNED, plan=TestPlan()), "2031-04-01")


def test_no_gas_free_certificate_is_asked_where_nobody_enters_a_tank() -> None:
    dates = back_plan("2031-05-14", Bookings(), "2031-04-01", asked=asked(replace(PLANNED, tanks_entered=False)))
    assert "gas-free" not in {each.key for each in dates}
    assert {"procedure", "test"} <= {each.key for each in dates}
