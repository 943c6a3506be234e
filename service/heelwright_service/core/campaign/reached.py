"""Which dates of the calendar of a test are behind it: by what is on record, never by the calendar alone."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from heelwright_service.core.campaign.dates import DUE_DAYS, Milestone, back_plan
from heelwright_service.core.campaign.plan_document import TestPlan
from heelwright_service.core.campaign.preparations import Preparation
from heelwright_service.core.campaign.stages import Stage, TestKind
from heelwright_service.core.errors import CoreError

_WITHOUT_WEIGHTS = ("survey", "resources-booked", "weights-certified")
"""A lightweight survey moves no weights, and its survey is the day itself."""
_SURVEY_DAY = "The survey, with draughts and soundings."

_WORK: dict[str, tuple[str, ...]] = {
    "surplus-landed": ("surplus",),
    "weights-certified": ("weights",),
    "yard-work-ends": ("yard-gear", "yard-work"),
    "resources-booked": ("crane",),
}
"""Items of the work list that a date stands for."""

_BEFORE_ISSUE: tuple[Stage, ...] = ("planned", "postponed")
_WITH_RESULT: tuple[Stage, ...] = ("preliminary-result", "under-review", "approved", "superseded")
_WITH_REPORT: tuple[Stage, ...] = ("approved", "superseded")


@dataclass(frozen=True)
class OnRecord:
    """What is on record of a test when its calendar is read.

    Parameters
    ----------
    stage : str
        Where the test stands.
    plan : TestPlan
        Its plan.
    work : sequence of Preparation
        The ship's work list; empty where none was made.
    answers : sequence of str
        How each tank of the tank plan was answered, ``open`` where it was not; empty without a tank plan.
    tanks_entered : bool
        Whether the tank plan has people go into a tank.
    closed : collection of str
        What was closed by name: ``advisory-survey``, ``survey``, ``test-day``.
    weights_certified : bool
        Whether every weight of the plan is entered with its certificate.
    kind : str
        Inclining test or lightweight survey.
    """

    stage: Stage
    plan: TestPlan
    work: Sequence[Preparation] = ()
    answers: Sequence[str] = ()
    tanks_entered: bool = True
    closed: Collection[str] = ()
    weights_certified: bool = False
    kind: TestKind = "inclining-test"


def reached(known: OnRecord) -> set[str]:
    """Name the dates whose work is done.

    Parameters
    ----------
    known : OnRecord
        What is on record.

    Returns
    -------
    set of str
        Keys of the calendar.

    Examples
    --------
    >>> sorted(reached(OnRecord("procedure-issued", TestPlan(item_list_handed_over_at="2031-05-12T09:00:00+02:00"))))
    ['booking', 'item-list', 'model-acceptance', 'procedure']
    """
    plan, work = known.plan, {item.key: item for item in known.work if not item.obsolete}
    berth, crane = plan.bookings.berth_from, plan.bookings.crane_from
    issued = known.stage not in _BEFORE_ISSUE
    signs = {
        "booking": issued or berth is not None,
        "procedure": issued,
        "model-acceptance": issued,
        "resources-booked": crane is not None,
        "tank-answers": bool(known.answers) and "open" not in known.answers,
        "surplus-landed": "advisory-survey" in known.closed,
        "advisory-survey": "advisory-survey" in known.closed,
        "weights-certified": known.weights_certified,
        "item-list": plan.item_list_handed_over_at is not None,
        "survey": "survey" in known.closed,
        "gas-free": _settled([item for key, item in work.items() if _of_entry(key)]),
        "test": "test-day" in known.closed,
        "preliminary-result": known.stage in _WITH_RESULT,
        "report": known.stage in _WITH_REPORT,
    }
    done = {key for key, holds in signs.items() if holds}
    return done | {key for key, items in _WORK.items() if _settled([work[item] for item in items if item in work])}


def asked(known: OnRecord) -> list[str]:
    """Name the dates that this test has at all.

    Parameters
    ----------
    known : OnRecord
        What is on record.

    Returns
    -------
    list of str
        Keys of the calendar: no gas-free certificate where nobody goes into a tank, no weights for a survey.
    """
    left_out = set(_WITHOUT_WEIGHTS) if known.kind == "lightweight-survey" else set()
    if not known.tanks_entered:
        left_out.add("gas-free")
    return [key for key in DUE_DAYS if key not in left_out]


def calendar(known: OnRecord, today: str) -> list[Milestone]:
    """Count the dates of a test back from its day, each with whether it is done.

    Parameters
    ----------
    known : OnRecord
        What is on record.
    today : str
        The day of the question, ISO 8601.

    Returns
    -------
    list of Milestone
        By date.

    Raises
    ------
    CoreError
        ``date-missing`` when the plan has no date; ``date-not-iso`` when a date cannot be read.
    """
    plan = known.plan
    if plan.date is None:
        raise CoreError("date-missing", "the plan has no date to count back from; store one in /plan", "/date")
    rows = back_plan(plan.date, plan.bookings, today, order=plan.order, done=reached(known), asked=asked(known))
    if known.kind == "inclining-test":
        return rows
    return [replace(row, text=_SURVEY_DAY) if row.key == "test" else row for row in rows]


def _of_entry(key: str) -> bool:
    return key == "entry-permits" or key.endswith("/gas-free")


def _settled(items: Sequence[Preparation]) -> bool:
    return bool(items) and all(item.state != "open" for item in items)
