"""Stored tests: their stage, the documents that plan them, everything entered on board, and what follows from them."""

from __future__ import annotations

import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from heelwright_service.core.campaign.stages import STAGES
from heelwright_service.store.base import AppendOnly, Base, Id, JsonDocument, new_id, utc_now

TEST_KINDS = ("inclining-test", "lightweight-survey")
TEST_DOCUMENT_KINDS = ("plan", "tank-plan", "preparations", "record")


class StabilityTest(Base):
    """An inclining test or lightweight survey: where it stands, and what it was last reduced to.

    ``pinned`` holds the versions of the vessel's documents and her particulars that the test is reduced with.
    """

    __tablename__ = "tests"
    __table_args__ = (
        Index(None, "vessel_id", "id"),
        UniqueConstraint("supersedes"),
        CheckConstraint(f"kind IN {TEST_KINDS!r}", name="kind_known"),
        CheckConstraint("origin IN ('conducted', 'entered-record')", name="origin_known"),
        CheckConstraint(f"stage IN {STAGES!r}", name="stage_known"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    version: Mapped[int] = mapped_column(default=1)
    vessel_id: Mapped[str] = mapped_column(Id, ForeignKey("vessels.id"))
    kind: Mapped[str] = mapped_column(String(32))
    origin: Mapped[str] = mapped_column(String(32))
    title: Mapped[str | None] = mapped_column(String(200))
    record_source: Mapped[str | None] = mapped_column(String(2000))
    stage: Mapped[str] = mapped_column(String(32))
    pinned: Mapped[dict[str, Any] | None] = mapped_column(JsonDocument)
    result_id: Mapped[str | None] = mapped_column(Id, ForeignKey("computations.id"))
    lightship_id: Mapped[str | None] = mapped_column(Id, ForeignKey("lightships.id"))
    supersedes: Mapped[str | None] = mapped_column(Id, ForeignKey("tests.id"))
    created_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    created_by: Mapped[str] = mapped_column(String(200))
    updated_at: Mapped[datetime.datetime] = mapped_column(default=utc_now, onupdate=utc_now)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 (declared so by the base class)


class TestDocument(AppendOnly, Base):
    """One version of a test's plan, tank plan, work list or entered record."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    __tablename__ = "test_documents"
    __table_args__ = (
        UniqueConstraint("test_id", "kind", "version"),
        CheckConstraint(f"kind IN {TEST_DOCUMENT_KINDS!r}", name="kind_known"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    test_id: Mapped[str] = mapped_column(Id, ForeignKey("tests.id"))
    kind: Mapped[str] = mapped_column(String(32))
    version: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    document: Mapped[dict[str, Any]] = mapped_column(JsonDocument)
    recorded_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    recorded_by: Mapped[str] = mapped_column(String(200))


class TestEntry(AppendOnly, Base):
    """One thing entered in a test; a correction is another entry that names the old one and the reason."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    __tablename__ = "test_entries"
    __table_args__ = (
        Index(None, "test_id", "kind", "id"),
        UniqueConstraint("corrects"),
        CheckConstraint("corrects IS NULL OR reason IS NOT NULL", name="correction_has_reason"),
        CheckConstraint("corrects IS NOT NULL OR NOT withdrawn", name="withdrawal_names_an_entry"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    test_id: Mapped[str] = mapped_column(Id, ForeignKey("tests.id"))
    kind: Mapped[str] = mapped_column(String(32))
    document: Mapped[dict[str, Any]] = mapped_column(JsonDocument)
    corrects: Mapped[str | None] = mapped_column(Id, ForeignKey("test_entries.id"))
    withdrawn: Mapped[bool] = mapped_column(default=False)
    reason: Mapped[str | None] = mapped_column(String(2000))
    recorded_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    recorded_by: Mapped[str] = mapped_column(String(200))
    token_id: Mapped[str] = mapped_column(Id)


class BoundaryDecision(AppendOnly, Base):
    """A decision on which side of the lightship boundary a class of things lies on a vessel."""

    __tablename__ = "boundary_decisions"
    __table_args__ = (
        Index(None, "vessel_id", "id"),
        CheckConstraint("counts IN ('lightship', 'load')", name="counts_known"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    vessel_id: Mapped[str] = mapped_column(Id, ForeignKey("vessels.id"))
    item_class: Mapped[str] = mapped_column(String(200))
    counts: Mapped[str] = mapped_column(String(16))
    quantity: Mapped[str | None] = mapped_column(String(500))
    decided_by: Mapped[str] = mapped_column(String(200))
    decided_on: Mapped[datetime.date]
    reason: Mapped[str | None] = mapped_column(String(2000))
    recorded_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    recorded_by: Mapped[str] = mapped_column(String(200))


class FollowUp(Base):
    """Something to be done about a vessel after a failed or doubtful result, until closed with evidence."""

    __tablename__ = "follow_ups"
    __table_args__ = (
        Index(None, "vessel_id", "id"),
        Index(None, "test_id", "id"),
        CheckConstraint("closed_at IS NULL OR evidence IS NOT NULL", name="closed_with_evidence"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    version: Mapped[int] = mapped_column(default=1)
    vessel_id: Mapped[str] = mapped_column(Id, ForeignKey("vessels.id"))
    test_id: Mapped[str] = mapped_column(Id, ForeignKey("tests.id"))
    text: Mapped[str] = mapped_column(String(2000))
    owner: Mapped[str] = mapped_column(String(200))
    due: Mapped[datetime.date]
    opened_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    opened_by: Mapped[str] = mapped_column(String(200))
    closed_at: Mapped[datetime.datetime | None]
    closed_by: Mapped[str | None] = mapped_column(String(200))
    evidence: Mapped[str | None] = mapped_column(String(2000))

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 (declared so by the base class)
