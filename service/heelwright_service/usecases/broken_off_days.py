"""A day that is broken off: what was read on it stays in the test, and counts no more."""

from __future__ import annotations

from collections.abc import Iterable

from heelwright_service.store.tables import TestEntry

_READ = (
    "water",
    "probe",
    "draught",
    "freeboard",
    "sounding",
    "person",
    "instrument",
    "state",
    "ballast-move",
    "reading",
    "weather",
)
_ABOUT_IT = ("deviation", "decision", "reservation", "signature")
_CLOSED_ON_IT = ("survey", "test-day")
_LASTING_WAIVERS = ("model-acceptance", "advisory-survey", "RP-")


def of_the_day(entry: TestEntry) -> bool:
    """Say whether an entry is of one day alone, so that another day needs it anew.

    Parameters
    ----------
    entry : TestEntry
        The entry.

    Returns
    -------
    bool
        True of what was read, of what was said and signed about it, of the closing of survey and test day, and of
        waivers of that day. Weights, the rows of the survey, permits (which have a time of their own) and papers last.
    """
    if entry.kind == "closing":
        return entry.document["what"] in _CLOSED_ON_IT
    if entry.kind == "waiver":
        return not str(entry.document["point"]).startswith(_LASTING_WAIVERS)
    return entry.kind in (*_READ, *_ABOUT_IT)


def read_on_it(entries: Iterable[TestEntry]) -> int:
    """Return how many of some entries were read on board on the day."""
    return sum(entry.kind in _READ for entry in entries)


def last_break(history: Iterable[TestEntry]) -> TestEntry | None:
    """Return the last postponement that broke a day off, or None."""
    breaks = [each for each in history if each.kind == "stage" and each.document.get("set_aside")]
    return breaks[-1] if breaks else None
