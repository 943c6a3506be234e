"""Entering a form's parts in a test, one call each; what was entered before a refusal stays, and only once."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from heelwright_client.errors import ConflictError, InvalidRequestError
from heelwright_client.web.entry import Entry
from heelwright_client.web.stored_test import StoredTest


@dataclass(frozen=True)
class Part:
    """One entry to make: its path, its body, the prefix of its fields in the form, and those named otherwise there."""

    path: str
    body: dict[str, Any]
    prefix: str = ""
    renamed: Mapping[str, str] = field(default_factory=dict)


@dataclass
class Outcome:
    """What became of a form: the entries as stored, and whether everything was taken."""

    stored: list[dict[str, Any]] = field(default_factory=list)
    refused: bool = False


def enter(test: StoredTest, parts: Sequence[Part], entry: Entry, key: str) -> Outcome:
    """Enter the parts in their order; a refused one stops those that follow only where they rest on it.

    Parameters
    ----------
    test : StoredTest
        The test.
    parts : sequence of Part
        What to enter.
    entry : Entry
        Takes the refusals beside its fields.
    key : str
        Names this one sending of the form.

    Returns
    -------
    Outcome
        What was stored.
    """
    outcome = Outcome()
    for part in parts:
        try:
            outcome.stored.append(test.add(part.path, part.body, key))
        except (InvalidRequestError, ConflictError) as error:
            outcome.refused = True
            _tell(entry, part, error)
            if part.path == "states":
                break
    return outcome


def now() -> str:
    """Return this moment with its offset, to the second.

    Returns
    -------
    str
        ISO 8601.
    """
    return datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")


def _tell(entry: Entry, part: Part, error: InvalidRequestError | ConflictError) -> None:
    for problem in error.errors:
        name = problem.pointer.strip("/").replace("/", ".")
        name = part.renamed.get(name, name)
        entry.refuse(f"{part.prefix}.{name}".strip(".") if name else part.prefix, problem.message)
    if not error.errors:
        entry.refuse(part.prefix, str(error))
