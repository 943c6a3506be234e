"""The calendar: when the next survey or test falls due. No clock here: every date is given."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from heelwright_service.core.rules.definitions import CalendarRule, Confidence

WARNING_MONTHS = 6  # office default


@dataclass(frozen=True)
class DueDate:
    """A survey or test that falls due.

    Parameters
    ----------
    date : str
        Last day, ISO 8601.
    due : str
        "lightweight-survey" or "inclining-test".
    rule, text, source, confidence : str
        The rule behind it.
    counted_from : str
        Date of the event that the interval is counted from.
    warn_from : str
        Six months ahead (office default).
    overdue : bool
        Whether the last day is before the day of the question.
    """

    date: str
    due: str
    rule: str
    text: str
    source: str
    confidence: Confidence
    counted_from: str
    warn_from: str
    overdue: bool


def add_months(start: date, months: int) -> date:
    """Move a date by whole months; a day that the month does not have becomes its last day.

    Parameters
    ----------
    start : date
        The date.
    months : int
        Months to add; negative goes back.

    Returns
    -------
    date
        The new date.

    Examples
    --------
    >>> add_months(date(2020, 2, 29), 60).isoformat()
    '2025-02-28'
    """
    years, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    return date(years, month + 1, min(start.day, monthrange(years, month + 1)[1]))


def due_date(rule: CalendarRule, events: Mapping[str, str], as_of: str) -> DueDate | None:
    """Return when one calendar rule falls due.

    Parameters
    ----------
    rule : CalendarRule
        The rule.
    events : mapping of str to str
        Date of the latest event of each kind ("inclining-test", "lightweight-survey"), ISO 8601.
    as_of : str
        The day of the question, ISO 8601.

    Returns
    -------
    DueDate or None
        None when nothing that the rule counts from has happened.

    Examples
    --------
    >>> from heelwright_service.core.rules import calendar_rule
    >>> due_date(calendar_rule("T-05"), {"inclining-test": "2021-03-01"}, "2026-03-02").date
    '2026-03-01'
    """
    counted = [events[kind] for kind in rule.counted_from if kind in events]
    if not counted:
        return None
    start = date.fromisoformat(max(counted))
    last = add_months(start, 12 * rule.interval_years)
    return DueDate(
        date=last.isoformat(),
        due=rule.due,
        rule=rule.id,
        text=rule.text,
        source=rule.source,
        confidence=rule.confidence,
        counted_from=start.isoformat(),
        warn_from=add_months(last, -WARNING_MONTHS).isoformat(),
        overdue=last < date.fromisoformat(as_of),
    )


def next_due(rules: Sequence[CalendarRule], events: Mapping[str, str], as_of: str) -> DueDate | None:
    """Return the first of the due dates of several calendar rules.

    Parameters
    ----------
    rules : sequence of CalendarRule
        The rules that concern the vessel.
    events : mapping of str to str
        Date of the latest event of each kind, ISO 8601.
    as_of : str
        The day of the question, ISO 8601.

    Returns
    -------
    DueDate or None
        The earliest, or None where no rule sets a date.
    """
    dates = [found for rule in rules if (found := due_date(rule, events, as_of)) is not None]
    return min(dates, key=lambda found: found.date, default=None)
