"""Parts of a vessel parsed once: a version of a document never changes, so neither does what it is parsed to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from heelwright_service.core.campaign.plan_document import TestPlan
from heelwright_service.core.campaign.preparations import Preparation
from heelwright_service.core.campaign.tank_document import TankPlan
from heelwright_service.core.documents import from_document
from heelwright_service.core.hull import Hull
from heelwright_service.core.record import HullDocument, Mark, Tank, TestRecord
from heelwright_service.core.test_result import TestResult

KEPT = 64


@dataclass(frozen=True)
class Part:
    """One version of a part of a vessel: compared by its key alone.

    Parameters
    ----------
    key : str
        Names the version, in every database.
    document : object
        The content.
    """

    key: str
    document: Any = field(compare=False, hash=False)


@lru_cache(maxsize=KEPT)
def tanks_of(part: Part) -> tuple[Tank, ...]:
    """Return the tanks of a version."""
    return tuple(from_document(Tank, tank) for tank in part.document)


@lru_cache(maxsize=KEPT)
def marks_of(part: Part) -> tuple[Mark, ...]:
    """Return the draught marks of a version."""
    return tuple(from_document(Mark, mark) for mark in part.document)


@lru_cache(maxsize=KEPT)
def hull_of(part: Part, length_bp_m: float) -> Hull:
    """Return the lofted hull form of a version."""
    return Hull.from_document(from_document(HullDocument, part.document), length_bp_m)


@lru_cache(maxsize=KEPT)
def plan_of(part: Part) -> TestPlan:
    """Return a version of a test's plan."""
    return from_document(TestPlan, part.document)


@lru_cache(maxsize=KEPT)
def tank_plan_of(part: Part) -> TankPlan:
    """Return a version of a test's tank plan."""
    return from_document(TankPlan, part.document)


@lru_cache(maxsize=KEPT)
def work_list_of(part: Part) -> tuple[Preparation, ...]:
    """Return a version of a test's work list."""
    return tuple(from_document(Preparation, item) for item in part.document["items"])


@lru_cache(maxsize=KEPT)
def record_of(part: Part) -> TestRecord:
    """Return the record that a result was computed from."""
    return from_document(TestRecord, part.document)


@lru_cache(maxsize=KEPT)
def result_of(part: Part) -> TestResult:
    """Return a stored result."""
    return from_document(TestResult, part.document)


@dataclass(frozen=True)
class Described:
    """A vessel as part of a test record, and which versions her parts are of."""

    document: Mapping[str, Any]
    keys: Mapping[str, str]

    def part(self, name: str) -> Part | None:
        """Return one part of the vessel, or None where she has none."""
        found = self.document.get(name)
        return None if found is None else Part(self.keys[name], found)
