"""The line of days at the head of every page of a test, and the tanks that the ship has not agreed to."""

from __future__ import annotations

import datetime
from typing import Any, cast

import pytest
from heelwright_client.web.line_of_days import Stand, stand_of, unagreed_tanks
from heelwright_client.web.stored_test import StoredTest

from tests.client.web.conftest import OpenAt
from tests.client.web.test_stored_tests import PAGES, at
from tests.client.web.visitor import words

KEYS = {
    "booking": "2031-03-19", "procedure": "2031-04-30", "tank-answers": "2031-05-02", "advisory-survey": "2031-05-07",
    "survey": "2031-05-13", "test": "2031-05-14", "preliminary-result": "2031-05-14", "report": "2031-06-13",
    "gas-free": "2031-05-14",
}  # fmt: skip


class Told:
    """A test as the pages read it, told by hand."""

    def __init__(self, stage: str, missing: list[str], to: str, state: str = "ahead", **facts: Any) -> None:
        lacking = [{"requirement": name, "text": "Asked.", "mend": f"Bring {name} about."} for name in missing]
        self.document = {
            "stage": stage, "kind": "inclining-test", "order": "survey-first", "origin": "conducted",
            "date": "2031-05-14", "next_stages": [{"stage": to, "missing": lacking}, {"stage": "postponed"}], **facts,
        }  # fmt: skip
        items = [{"key": key, "date": date, "state": state} for key, date in KEYS.items()]
        self.parts: dict[str, Any] = {"calendar": {"items": items}}

    def part(self, name: str) -> Any:
        return self.parts.get(name)


def stand(test: Told, today: str) -> Stand:
    return stand_of(cast(StoredTest, test), datetime.date.fromisoformat(today))


def test_today_stands_between_the_marks_and_the_coming_mark_is_the_one_of_the_next_stage():
    found = stand(Told("advisory-survey", ["advisory_survey_closed"], "survey-day"), "2031-05-08")
    names = [mark.words for mark in found.marks]
    assert names[names.index("today") - 1 : names.index("today") + 2] == ["advisory survey", "today", "survey day"]
    assert [mark.words for mark in found.marks if mark.next] == ["survey day"]
    assert [mark.words for mark in found.marks if mark.near] == ["advisory survey", "today", "survey day"]
    assert (found.step, found.missing, found.page) == ("survey day", 1, "survey.show")


def test_a_survey_that_is_not_closed_is_not_called_done_on_the_test_day():
    found = stand(Told("test-day", ["survey_closed"], "preliminary-result", state="overdue"), "2031-05-14")
    states = {mark.words: mark.state for mark in found.marks}
    assert states["survey day"] == "overdue"
    assert states["procedure issued"] == "past"


def test_survey_and_test_lie_behind_once_there_is_a_result():
    found = stand(Told("preliminary-result", [], "under-review", state="overdue"), "2031-05-15")
    states = {mark.words: mark.state for mark in found.marks}
    assert states["survey day"] == states["test day"] == states["preliminary result"] == "past"
    assert states["report due"] == "overdue"


def test_the_day_of_a_lightweight_survey_is_its_survey_day():
    test = Told("advisory-survey", [], "survey-day", kind="lightweight-survey")
    test.parts["calendar"]["items"] = [row for row in test.parts["calendar"]["items"] if row["key"] != "survey"]
    found = stand(test, "2031-05-08")
    days = [(mark.words, mark.date, mark.next) for mark in found.marks if mark.words in ("survey day", "test day")]
    assert days == [("survey day", "2031-05-14", True)]


def test_a_finished_test_that_was_entered_has_its_own_day_alone():
    found = stand(Told("planned", ["record_source_named"], "preliminary-result", origin="entered-record"), "2031-06-01")
    assert [(mark.words, mark.state) for mark in found.marks] == [("test day", "done"), ("today", "today")]
    assert found.page == "record_entry.show"


def test_a_test_without_a_day_has_no_marks_and_still_says_what_is_missing():
    told = Told("planned", ["date_and_place_set", "tank_plan_made"], "procedure-issued", date=None)
    told.parts = {}
    assert stand(told, "2031-01-01") == Stand(
        [], "issuing the procedure", 2, "Bring date_and_place_set about.", "test_plan.show"
    )


def test_tanks_that_the_ship_cannot_bring_about_come_first_and_agreed_ones_not_at_all():
    told = Told("planned", [], "procedure-issued")
    told.parts["tank-plan/standing"] = {
        "answers": [{"tank": name, "state": name} for name in ("open", "agreed", "cannot")]
    }
    assert [each["tank"] for each in unagreed_tanks(cast(StoredTest, told))] == ["cannot", "open"]


@pytest.mark.parametrize("to", ["planned", "test-day"])
def test_every_page_of_a_test_shows_where_it_stands(open_at: OpenAt, to: str):
    fleet, campaign = open_at(to)
    visitor = fleet.visitor()
    for path in (*PAGES, "/enter/water"):
        page = visitor.get(at(campaign, path))
        groups = [each for each in page.all("div") if each.get("class") == "stand"]
        assert len(groups) == 1, path
        assert "issing for" in words(groups[0]), path
        today = [each for each in page.all("li") if each.get("aria-current") == "date"]
        assert len(today) == 1, path


def test_a_step_that_open_tank_answers_do_not_hold_up_names_them_beside_it(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    page = fleet.visitor().get(at(campaign, ""))
    standing = fleet.client.tests.tanks(campaign.test_id)["answers"]
    waiting = [each["tank"] for each in standing if each["state"] != "agreed"]
    assert ("The ship has not agreed to" in page.text) == bool(waiting)
    assert all(tank in page.text for tank in waiting)
