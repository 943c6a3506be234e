"""Where a test stands on its line of days, what is missing for the next mark, and what the ship has not agreed to."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heelwright_client.test_words import DAY_WORDS, DUE_STATE_WORDS, STEP_WORDS, line_of
from heelwright_client.web.stored_test import StoredTest

_MARK_OF_STAGE = {
    "planned": "booking",
    "procedure-issued": "procedure",
    "preparing": "tank-answers",
    "advisory-survey": "advisory-survey",
    "survey-day": "survey",
    "test-day": "test",
    "preliminary-result": "preliminary-result",
    "under-review": "report",
    "approved": "report",
}
_ASIDE = ("postponed", "abandoned", "superseded")
_BEFORE_THE_DAY = ("planned", "procedure-issued", "preparing", "advisory-survey")
_PAGE_OF_LACK = {
    "work_list_made": "ship.show",
    "tank_plan_made": "test_plan.tanks",
    "advisory_survey_closed": "survey.show",
    "survey_closed": "survey.show",
    "ready_to_start": "test_day.set_up",
    "water_sampled": "test_day.set_up",
    "draughts_read": "test_day.set_up",
    "tanks_sounded": "test_day.set_up",
    "readings_taken": "test_day.show",
    "test_day_closed": "test_day.show",
    "reservations_signed": "reservations.show",
    "deviations_settled": "test_day.deviations",
    "record_source_named": "record_entry.show",
    "result_computed": "test_result.show",
    "result_matches_record": "test_result.show",
    "review_answered": "test_result.review",
    "approver_is_independent": "test_result.review",
}
_OF_RESULT = ("test_result.show", "test_result.review")


@dataclass(frozen=True)
class DayMark:
    """One mark of the line of days.

    Parameters
    ----------
    words : str
        What the day is.
    date : str
        When, ISO 8601.
    state : str
        As of today, in words; ``past`` where the test has gone on without a word that it was done, ``today`` for the
        mark of today itself.
    near : bool
        Whether a narrow screen shows it: the mark to come, the one before it, and today.
    next : bool
        Whether it is the mark to come.
    """

    words: str
    date: str
    state: str
    near: bool = False
    next: bool = False


@dataclass(frozen=True)
class Stand:
    """Where a test stands.

    Parameters
    ----------
    marks : sequence of DayMark
        By date, today among them; none while no day is set.
    step : str
        The step to come, in words; empty where none follows.
    missing : int
        How many things are missing for it.
    first : str
        How to bring the first of them about.
    page : str
        Endpoint of the page where that is done.
    """

    marks: Sequence[DayMark]
    step: str = ""
    missing: int = 0
    first: str = ""
    page: str = "tests.show"


def stand_of(test: StoredTest, today: datetime.date | None = None) -> Stand:
    """Tell where a test stands on its line of days.

    Parameters
    ----------
    test : StoredTest
        The test.
    today : date, optional
        The day to tell it for; by default that of the clock, UTC.

    Returns
    -------
    Stand
        Its dated marks, and what is missing for the next.
    """
    document = test.document
    calendar = _calendar(test)
    now = today or datetime.datetime.now(datetime.UTC).date()
    step = _next_step(document)
    marks = _marks(calendar, document, step, now.isoformat()) if calendar else []
    if step is None:
        return Stand(marks)
    lacking = step["missing"]
    words = STEP_WORDS.get(step["stage"], step["stage"])
    if not lacking:
        return Stand(marks, words, page="test_result.review" if step["stage"] == "approved" else "tests.show")
    return Stand(marks, words, len(lacking), lacking[0]["mend"], _page(lacking[0]["requirement"], document))


def unagreed_tanks(test: StoredTest) -> list[Mapping[str, Any]]:
    """List the tanks of the plan that the ship has not agreed to, those she cannot bring about first.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    list of Mapping
        The ship's answers; none once the day has come.
    """
    if test.document["stage"] not in _BEFORE_THE_DAY or test.document["origin"] != "conducted":
        return []
    answers = (test.part("tank-plan/standing") or {}).get("answers", [])
    waiting = [each for each in answers if each["state"] != "agreed"]
    return sorted(waiting, key=lambda each: each["state"] != "cannot")


def _calendar(test: StoredTest) -> Sequence[Mapping[str, Any]]:
    """The dated marks; a finished test that was entered has its own day alone."""
    document = test.document
    if document["origin"] == "conducted":
        found: Sequence[Mapping[str, Any]] = (test.part("calendar") or {}).get("items", [])
        return found
    return [{"key": "test", "date": document["date"][:10], "state": "done"}] if document["date"] else []


def _next_step(document: Mapping[str, Any]) -> Mapping[str, Any] | None:
    return next((step for step in document["next_stages"] if step["stage"] not in _ASIDE), None)


def _page(requirement: str, document: Mapping[str, Any]) -> str:
    page = _PAGE_OF_LACK.get(requirement, "test_plan.show")
    if document["origin"] == "entered-record" and page not in _OF_RESULT:
        return "record_entry.show"
    if page == "test_day.show" and document["kind"] != "inclining-test":
        return "test_day.set_up"
    return page


def _marks(
    calendar: Sequence[Mapping[str, Any]], document: Mapping[str, Any], step: Mapping[str, Any] | None, today: str
) -> list[DayMark]:
    """Lay out the marks; the day of a lightweight survey is that of its test."""
    survey_alone = document["kind"] == "lightweight-survey"
    words = {**DAY_WORDS, "test": DAY_WORDS["survey"]} if survey_alone else DAY_WORDS
    rows = {each["key"]: each for each in calendar if each["key"] in words}
    order = list(words)
    keys = sorted(rows, key=lambda key: (rows[key]["date"], order.index(key)))
    coming = _key_of(step["stage"] if step else "", rows)
    behind = _behind(document, rows)
    near = {coming, keys[max(keys.index(coming) - 1, 0)]} if coming in keys else {keys[-1]}
    marks = [
        DayMark(words[key], rows[key]["date"], _state(key, rows[key], behind), key in near, key == coming)
        for key in keys
    ]
    at = sum(mark.date < today for mark in marks)
    return [*marks[:at], DayMark("today", today, "today", near=True), *marks[at:]]


def _key_of(stage: str, rows: Mapping[str, Any]) -> str:
    key = _MARK_OF_STAGE.get(stage, "")
    return "test" if key == "survey" and key not in rows else key


def _behind(document: Mapping[str, Any], rows: Mapping[str, Any]) -> set[str]:
    """Marks whose stage the test has passed; survey and test count only once both are closed, for the result."""
    line = line_of(document["kind"], document["order"], document["origin"])
    if document["stage"] not in line:
        return set()
    reached = list(line[: line.index(document["stage"])])
    if document["stage"] in ("procedure-issued", "preliminary-result", "approved"):
        reached.append(document["stage"])
    behind = {_key_of(stage, rows) for stage in reached}
    return behind if "preliminary-result" in reached else behind - {"survey", "test"}


def _state(key: str, row: Mapping[str, Any], behind: set[str]) -> str:
    return "past" if key in behind and row["state"] != "done" else DUE_STATE_WORDS[row["state"]]
