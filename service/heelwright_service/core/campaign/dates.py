"""Dates counted back from the day of the test, and the windows of time in which it can be made."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from heelwright_service.core.campaign.plan_document import Bookings, TimeWindow
from heelwright_service.core.campaign.stages import Order
from heelwright_service.core.errors import CoreError
from heelwright_service.core.rules import conduct_rule

OFFICE = "office default"
DUE_DAYS: dict[str, tuple[int, str, str]] = {
    "booking": (-56, "Contract, berth and yard are settled.", "common practice: about two months ahead"),
    "model-acceptance": (-28, "The hydrostatic model is accepted by a named checker.", OFFICE),
    "resources-booked": (-14, "Crane, tug and line handlers are booked.", "common practice"),
    "tank-answers": (-10, "The ship has answered the tank plan, tank by tank.", OFFICE),
    "surplus-landed": (-8, "Surplus weight is ashore before the advisory survey.", "common practice"),
    "advisory-survey": (-7, "Advisory walk through the ship.", "common practice: about a week ahead"),
    "weights-certified": (-3, "Weights are weighed, marked and certified.", "IMO A.749(18) 7.2.1; days: office"),
    "item-list": (-1, "The list of weights to add, remove and move is handed to the witness.", "common practice"),
    "yard-work-ends": (-1, "Yard work ends and the yard's gear is off.", "common practice"),
    "survey": (-1, "Survey of surplus, missing and misplaced items.", "IMO A.749(18) annex 1, section 4"),
    "gas-free": (0, "Gas-free certificates of the day are issued.", "common practice"),
    "test": (0, "The test.", "as planned"),
    "preliminary-result": (0, "The preliminary result, before the ship sails.", "common practice"),
    "report": (30, "The report is submitted.", OFFICE),
}
"""Days from the test, what is due, and where the figure comes from."""

WHO: dict[str, str] = {
    "tank-answers": "chief-engineer",
    "surplus-landed": "master",
    "resources-booked": "yard",
    "yard-work-ends": "yard",
    "gas-free": "yard",
}

_ON_THE_DAY = ("advisory-survey", "survey", "gas-free", "test", "preliminary-result", "yard-work-ends", "item-list")


@dataclass(frozen=True)
class Milestone:
    """One date of the calendar.

    Parameters
    ----------
    key : str
        Stable name of what is due.
    date : str
        When, ISO 8601.
    text, who, source : str
        What is due, from whom, and where the figure comes from.
    state : {"done", "overdue", "due", "ahead"}
        As of the day of the question; due is within a week.
    """

    key: str
    date: str
    text: str
    who: str
    source: str
    state: Literal["done", "overdue", "due", "ahead"]


@dataclass(frozen=True)
class Window:
    """A stretch of time in which the test can be made, in ISO 8601 with offset."""

    start: str
    end: str
    minutes: float


def due_on(key: str, test_date: str, order: Order = "survey-first") -> str:
    """Return when a task is due.

    Parameters
    ----------
    key : str
        One of `DUE_DAYS`.
    test_date : str
        The day of the test, ISO 8601.
    order : str
        Where the test comes first, the survey follows on the next day.

    Returns
    -------
    str
        The date, ISO 8601; one that is not bound to the days of test or survey moves from a weekend to Friday.

    Examples
    --------
    >>> due_on("advisory-survey", "2031-05-14")
    '2031-05-07'
    """
    days = 1 if key == "survey" and order == "test-first" else DUE_DAYS[key][0]
    return _moved(test_date, days, key in _ON_THE_DAY or days > 0)


def back_plan(
    test_date: str,
    bookings: Bookings,
    today: str,
    *,
    order: Order = "survey-first",
    done: Collection[str] = (),
    asked: Collection[str] = tuple(DUE_DAYS),
) -> list[Milestone]:
    """Count all dates back from the day of the test.

    Parameters
    ----------
    test_date : str
        The day of the test, ISO 8601.
    bookings : Bookings
        What authority, berth and crane ask and give.
    today : str
        The day of the question, ISO 8601.
    order : str
        Which of survey and test comes first.
    done : collection of str
        Keys of what is done.
    asked : collection of str
        Those of `DUE_DAYS` that this test has.

    Returns
    -------
    list of Milestone
        By date.

    Raises
    ------
    CoreError
        ``date-not-iso`` when a date cannot be read.

    Examples
    --------
    >>> [each.date for each in back_plan("2031-05-14", Bookings(), "2031-04-01") if each.key == "procedure"]
    ['2031-04-30']
    """
    on = _date(today, "/today")
    _date(test_date, "/date")
    rows = [_notice(test_date, bookings), *_booked(bookings)]
    for key in asked:
        _, text, source = DUE_DAYS[key]
        when = due_on(key, test_date, order)
        if key == "report" and bookings.report_due_days is not None:
            when, source = _moved(test_date, bookings.report_due_days, True), "as agreed"
        rows.append((key, when, text, WHO.get(key, "coordinator"), source))
    found = [Milestone(*row, state=_state(row[0], row[1], on, done)) for row in rows]
    return sorted(found, key=lambda each: (each.date, each.key))


def working_windows(
    daylight: TimeWindow | None, tides: Sequence[TimeWindow], needed_minutes: float, least_depth_m: float | None = None
) -> list[Window]:
    """Cut daylight and tides to the stretches that are long and deep enough.

    Parameters
    ----------
    daylight : TimeWindow, optional
        From first to last light; None where the test may be made in the dark.
    tides : sequence of TimeWindow
        Stretches with little current, each with its least depth; empty where there is no tide.
    needed_minutes : float
        How long the test takes [min].
    least_depth_m : float, optional
        Depth of water that is needed [m].

    Returns
    -------
    list of Window
        Those that fit, by their start.

    Examples
    --------
    >>> day = TimeWindow("2031-05-14T06:00:00+00:00", "2031-05-14T20:00:00+00:00")
    >>> slack = TimeWindow("2031-05-14T04:30:00+00:00", "2031-05-14T09:00:00+00:00", 7.5)
    >>> working_windows(day, [slack], 150.0, 6.0)[0].minutes
    180.0
    """
    bounds = (daylight,) if daylight is not None else ()
    found = []
    for tide in tides or bounds:
        if least_depth_m is not None and tide.depth_m is not None and tide.depth_m < least_depth_m:
            continue
        parts = [tide, *bounds]
        start = max(_moment(each.start) for each in parts)
        end = min(_moment(each.end) for each in parts)
        minutes = (end - start).total_seconds() / 60.0
        if minutes >= needed_minutes:
            found.append(Window(start.isoformat(), end.isoformat(), minutes))
    return sorted(found, key=lambda each: _moment(each.start))


def notice_days(bookings: Bookings) -> tuple[int, str]:
    """Return how many days before the test the procedure has to be with the authority, and why.

    Parameters
    ----------
    bookings : Bookings
        Notice by rule, and how long the agency takes by the office's own record.

    Returns
    -------
    tuple of (int, str)
        Days and source: the larger of the two; without any the United States' 14 days as office default.

    Examples
    --------
    >>> notice_days(Bookings(notice_days=14, agency_turnaround_days=35))
    (35, "the office's record of this agency's turnaround")
    """
    rule = conduct_rule("P-02")
    days, source = int(rule["notice_days"]), f"{OFFICE}, after {rule.source}"
    if bookings.notice_days is not None:
        days, source = bookings.notice_days, bookings.notice_source or "as the authority asks"
    if bookings.agency_turnaround_days is not None and bookings.agency_turnaround_days > days:
        return bookings.agency_turnaround_days, "the office's record of this agency's turnaround"
    return days, source


def _notice(test_date: str, bookings: Bookings) -> tuple[str, str, str, str, str]:
    days, source = notice_days(bookings)
    when = _moved(test_date, -days, False)
    return ("procedure", when, f"The procedure is with the authority, {days} days ahead.", "coordinator", source)


def _booked(bookings: Bookings) -> list[tuple[str, str, str, str, str]]:
    named = (
        ("berth-from", bookings.berth_from, "The berth is free."),
        ("berth-until", bookings.berth_until, "The berth has to be left."),
        ("crane-from", bookings.crane_from, "The crane is there."),
        ("crane-until", bookings.crane_until, "The crane leaves."),
    )
    return [(key, when[:10], text, "yard", "as booked") for key, when, text in named if when is not None]


def _state(key: str, when: str, today: date, done: Collection[str]) -> Literal["done", "overdue", "due", "ahead"]:
    if key in done:
        return "done"
    left = (date.fromisoformat(when) - today).days
    if left < 0:
        return "overdue"
    return "due" if left <= 7 else "ahead"


def _moved(test_date: str, days: int, keep_weekend: bool) -> str:
    when = _date(test_date, "/date") + timedelta(days=days)
    if not keep_weekend and when.weekday() > 4:
        when -= timedelta(days=when.weekday() - 4)
    return when.isoformat()


def _date(text: str, pointer: str) -> date:
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        raise CoreError("date-not-iso", f"'{text}' is no date; write it as 2031-05-14.", pointer) from None


def _moment(text: str) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise CoreError("time-without-offset", f"'{text}' has no offset; write it as 2031-05-14T06:00:00+02:00.", "")
    return moment
