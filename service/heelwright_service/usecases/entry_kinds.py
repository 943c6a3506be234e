"""What can be entered in a test: each kind with its stages, the role it needs, and what may stand only once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from heelwright_service.core.campaign.stages import FROZEN_STAGES, STAGES, Stage

Key = Callable[[Mapping[str, Any]], tuple[Any, ...]]

ALIVE: frozenset[Stage] = frozenset(STAGES) - FROZEN_STAGES
ABOARD: frozenset[Stage] = frozenset({"preparing", "advisory-survey", "survey-day", "test-day"})
ON_THE_DAY: frozenset[Stage] = frozenset({"survey-day", "test-day"})
TEST_DAY: frozenset[Stage] = frozenset({"test-day"})
AFTERWARDS: frozenset[Stage] = frozenset({"preliminary-result", "under-review"})


@dataclass(frozen=True)
class EntryKind:
    """A kind of entry.

    Parameters
    ----------
    name : str
        Its name in the database and in messages.
    stages : frozenset of str
        Stages in which it may be entered; a correction also afterwards, until approval.
    role : str
        Lowest role that may enter it.
    closing : str or None
        What closes it: the survey or the test day.
    key : callable or None
        Of two standing entries with the same key, one has to correct the other.
    recorded : bool
        Whether it is test-day data: who enters it is a recorder of the test, and cannot approve it.
    """

    name: str
    stages: frozenset[Stage] = ALIVE
    role: str = "recorder"
    closing: str | None = None
    key: Key | None = None
    recorded: bool = False


def _by(*names: str) -> Key:
    return lambda document: tuple(document.get(name) for name in names)


def _day(name: str, *key: str, stages: frozenset[Stage] = ON_THE_DAY) -> EntryKind:
    return EntryKind(name, stages, "recorder", "test-day", _by(*key) if key else None, True)


ENTRY_KINDS: Mapping[str, EntryKind] = {
    kind.name: kind
    for kind in (
        _day("water"),
        _day("probe"),
        _day("draught", "mark", "occasion"),
        _day("freeboard", "x_m", "y_m", "occasion"),
        _day("sounding", "tank", "occasion", stages=ABOARD),
        _day("person", stages=ABOARD),
        _day("weight", "id", stages=ABOARD),
        _day("instrument", "id", stages=ABOARD),
        _day("state", "number", stages=TEST_DAY),
        _day("ballast-move", "state", "from_tank", "to_tank", stages=TEST_DAY),
        EntryKind("ballast-procedure", ABOARD, "recorder", "test-day", _by(), True),
        _day("reading", "state", "instrument", "repeat", stages=TEST_DAY),
        _day("weather", stages=ABOARD),
        EntryKind("item", ABOARD, "recorder", "survey", None, True),
        EntryKind("permit", ABOARD),
        EntryKind("certificate"),
        EntryKind("uncertainties", ABOARD | AFTERWARDS, "planner"),
        EntryKind("deviation", ABOARD | AFTERWARDS),
        EntryKind("decision", ABOARD | AFTERWARDS, "planner", None, _by("deviation")),
        EntryKind("reservation", ABOARD | AFTERWARDS),
        EntryKind("signature", ABOARD | AFTERWARDS),
        EntryKind("waiver", ALIVE, "planner"),
        EntryKind("tank-answer"),
        EntryKind("statements", ALIVE, "planner"),
        EntryKind("review-answer", AFTERWARDS, "planner", None, _by("finding")),
        EntryKind("closing", ABOARD, "recorder", None, _by("what")),
        EntryKind("interim-request", AFTERWARDS, "planner"),
        EntryKind("stage", frozenset(STAGES), "planner"),
        EntryKind("approval", frozenset(STAGES), "approver"),
    )
}
