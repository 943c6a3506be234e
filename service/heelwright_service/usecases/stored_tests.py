"""Read a stored test whole: its row, vessel, plan, tank plan, work list and everything that stands in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, TypeVar, cast

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.plan_document import TestPlan
from heelwright_service.core.campaign.preparations import Preparation
from heelwright_service.core.campaign.stages import Origin, Stage, TestKind
from heelwright_service.core.campaign.survey import SurveyItem
from heelwright_service.core.campaign.tank_document import TankPlan
from heelwright_service.core.documents import from_document
from heelwright_service.core.hull import Hull
from heelwright_service.core.record import Mark, Tank
from heelwright_service.store.queries import tests
from heelwright_service.store.queries.vessels import get_vessel
from heelwright_service.store.tables import StabilityTest, TestDocument, TestEntry, Vessel
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.broken_off_days import last_break, of_the_day
from heelwright_service.usecases.follow_fleet import drift_requests
from heelwright_service.usecases.parsed_parts import (
    Described,
    Part,
    hull_of,
    marks_of,
    plan_of,
    tank_plan_of,
    tanks_of,
    work_list_of,
)
from heelwright_service.usecases.vessel_description import described_in_record, described_vessel

T = TypeVar("T")


@dataclass(frozen=True)
class StoredTest:
    """A test with what stands in it.

    Parameters
    ----------
    row : StabilityTest
        The test.
    vessel : Vessel
        Her row.
    described : Described
        The vessel as a record holds her: pinned versions, or today's where nothing is pinned yet.
    plan, tank_plan : TestPlan, TankPlan or None
        The newest versions.
    preparations : tuple of Preparation
        The work list.
    history : sequence of TestEntry
        Every entry in the order of their making.
    entered : TestDocument or None
        The newest version of the record of a test that was entered whole.
    entered_by : frozenset of str
        Everybody who ever entered a version of that record.
    drift_request : Mapping or None
        What the drift of the vessel follows from; read for a lightweight survey alone, which that may forbid.
    drift_request_seen : Mapping or None
        The same without a lead ship that the caller may not see.
    """

    row: StabilityTest
    vessel: Vessel
    described: Described
    plan: TestPlan
    tank_plan: TankPlan | None
    preparations: tuple[Preparation, ...]
    history: Sequence[TestEntry]
    entered: TestDocument | None = None
    entered_by: frozenset[str] = frozenset()
    drift_request: Mapping[str, Any] | None = None
    drift_request_seen: Mapping[str, Any] | None = None

    @property
    def date(self) -> str | None:
        """The day of the test, ISO 8601: as planned, or as its record says where that was entered whole."""
        stated = None if self.entered is None else self.entered.document.get("test", {}).get("date")
        return self.plan.date or stated

    @property
    def file(self) -> Mapping[str, Any] | None:
        """What an imported file says of the test besides its record; None for a bare record."""
        return None if self.entered is None else self.entered.document.get("campaign")

    @property
    def kind(self) -> TestKind:
        """Inclining test or lightweight survey."""
        return cast(TestKind, self.row.kind)

    @property
    def origin(self) -> Origin:
        """Conducted here, or entered as a finished record."""
        return cast(Origin, self.row.origin)

    @property
    def stage(self) -> Stage:
        """Where the test stands."""
        return cast(Stage, self.row.stage)

    @cached_property
    def broken_off(self) -> TestEntry | None:
        """The last postponement after something had been read: what was read before it counts no more."""
        return last_break(self.history)

    @cached_property
    def counting(self) -> list[TestEntry]:
        """The entries in the order of their making, without those of a day that was broken off."""
        last = self.broken_off
        return [each for each in self.history if last is None or each.id > last.id or not of_the_day(each)]

    @cached_property
    def _standing(self) -> Mapping[str, list[TestEntry]]:
        corrected = {entry.corrects for entry in self.history if entry.corrects is not None}
        found: dict[str, list[TestEntry]] = {}
        for entry in self.counting:
            if entry.id not in corrected and not entry.withdrawn:
                found.setdefault(entry.kind, []).append(entry)
        return found

    def standing(self, kind: str) -> list[TestEntry]:
        """Return the entries of a kind that are neither corrected nor withdrawn."""
        return self._standing.get(kind, [])

    def documents(self, kind: str) -> list[dict[str, Any]]:
        """Return what the standing entries of a kind say."""
        return [entry.document for entry in self.standing(kind)]

    def all_of(self, kind: str, cls: type[T]) -> list[T]:
        """Return the standing entries of a kind as dataclasses."""
        return [from_document(cls, document) for document in self.documents(kind)]

    def latest(self, kind: str, cls: type[T]) -> T | None:
        """Return the last standing entry of a kind as a dataclass, or None."""
        found = self.documents(kind)
        return from_document(cls, found[-1]) if found else None

    def told(self, kind: str) -> list[dict[str, Any]]:
        """Return what an imported file's entries of a kind say that stood there, each with the ``id`` it had there."""
        entries = [] if self.file is None else self.file["entries"]
        corrected = {each["corrects"] for each in entries if each["corrects"] is not None}
        return [
            {**each["document"], "id": each["id"]}
            for each in entries
            if each["kind"] == kind and each["id"] not in corrected and not each["withdrawn"]
        ]

    def items(self, survey: str = "survey") -> list[SurveyItem]:
        """Return the rows of the survey, or of the advisory survey."""
        rows = [{**entry.document, "id": entry.id} for entry in self.standing("item")] + self.told("item")
        found = [from_document(SurveyItem, row) for row in rows]
        return [item for item in found if item.survey == survey]

    def closed(self, what: str) -> bool:
        """Say whether the advisory survey, the survey or the test day has been closed."""
        return any(document["what"] == what for document in self.documents("closing"))

    @property
    def length_m(self) -> float:
        """Length by the rules, else between perpendiculars [m]."""
        return float(self.description.get("length_m") or self.description["length_bp_m"])

    @property
    def description(self) -> Mapping[str, Any]:
        """The vessel as part of a test record."""
        return self.described.document

    @property
    def tanks(self) -> tuple[Tank, ...]:
        """The vessel's tanks."""
        part = self.described.part("tanks")
        return () if part is None else tanks_of(part)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The vessel's draught marks."""
        part = self.described.part("marks")
        return () if part is None else marks_of(part)

    def hull(self) -> Hull | None:
        """Return the lofted hull form, or None without one."""
        part = self.described.part("hull")
        return None if part is None else hull_of(part, self.description["length_bp_m"])


def load_test(session: Session, caller: Caller, test_id: str, *, lock: bool = False) -> StoredTest:
    """Read a test whole.

    Parameters
    ----------
    session : Session
        An open session.
    caller : Caller
        Who asks.
    test_id : str
        The test.
    lock : bool
        Keep others from entering anything into it until the transaction ends.

    Returns
    -------
    StoredTest
        The test.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    """
    row = tests.get_test(session, test_id, caller.scope, lock=lock)
    vessel = get_vessel(session, row.vessel_id, caller.scope)
    record = tests.find_document(session, row.id, "record") if row.origin == "entered-record" else None
    plan = _part(session, row.id, "plan") or _of_file(record, "plan")
    tank_plan = _part(session, row.id, "tank-plan") or _of_file(record, "tank-plan")
    work = _part(session, row.id, "preparations") or _of_file(record, "preparations")
    drift, seen = _drift_requests(session, caller, vessel) if row.kind == "lightweight-survey" else (None, None)
    described = described_vessel(session, vessel, row.pinned) if record is None else described_in_record(record)
    return StoredTest(
        row,
        vessel,
        described,
        TestPlan() if plan is None else plan_of(plan),
        None if tank_plan is None else tank_plan_of(tank_plan),
        () if work is None else work_list_of(work),
        tests.all_entries(session, row.id),
        record,
        frozenset() if record is None else tests.authors_of_document(session, row.id, "record"),
        drift,
        seen,
    )


def _drift_requests(session: Session, caller: Caller, vessel: Vessel) -> tuple[dict[str, Any], dict[str, Any]]:
    whole = drift_requests(session, [vessel], None, None)[vessel.id]
    if not caller.scope.limited or whole["lead"] is None:
        return whole, whole
    return whole, drift_requests(session, [vessel], None, None, caller.scope)[vessel.id]


def with_plans(test: StoredTest, plan: TestPlan | None = None, tank_plan: TankPlan | None = None) -> StoredTest:
    """Return the test with another plan or tank plan in place of the stored one."""
    return replace(test, plan=plan or test.plan, tank_plan=tank_plan or test.tank_plan)


def document_of_file(record: TestDocument | None, kind: str) -> dict[str, Any] | None:
    """Return what an imported file has for a kind of document of a test, or None."""
    name = {"plan": "plan", "tank-plan": "tank_plan", "preparations": "preparations"}.get(kind)
    campaign = None if record is None else record.document.get("campaign")
    found = None if campaign is None or name is None else campaign[name]
    return {"items": found} if name == "preparations" and found is not None else found


def _of_file(record: TestDocument | None, kind: str) -> Part | None:
    found = document_of_file(record, kind)
    return None if record is None or found is None else Part(f"{record.id}/{kind}", found)


def _part(session: Session, test_id: str, kind: str) -> Part | None:
    found = tests.find_document(session, test_id, kind)
    return None if found is None else Part(found.id, found.document)
