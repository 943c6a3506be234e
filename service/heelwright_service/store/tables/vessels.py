"""Vessels and the versioned documents that describe them."""

from __future__ import annotations

import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from heelwright_service.store.base import AppendOnly, Base, Id, JsonDocument, new_id, utc_now

DOCUMENT_KINDS = ("hull", "hydrostatic-table", "marks", "tanks")


class Vessel(Base):
    """A vessel: her names, dimensions in metres, and the fleet and sister she belongs to."""

    __tablename__ = "vessels"
    __table_args__ = (
        UniqueConstraint("imo_number"),
        Index(None, "fleet", "id"),
        CheckConstraint("length_bp_m > 0", name="length_bp_positive"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    version: Mapped[int] = mapped_column(default=1)
    name: Mapped[str] = mapped_column(String(200))
    imo_number: Mapped[str | None] = mapped_column(String(7))
    kind: Mapped[str | None] = mapped_column(String(100))
    fleet: Mapped[str | None] = mapped_column(String(200))
    sister_of: Mapped[str | None] = mapped_column(Id, ForeignKey("vessels.id"))
    length_bp_m: Mapped[float | None]
    length_m: Mapped[float | None]
    breadth_m: Mapped[float | None]
    depth_m: Mapped[float | None]
    keel_laid: Mapped[datetime.date | None]
    subdivision_length_m: Mapped[float | None]
    top_z_m: Mapped[float | None]
    aft_x_m: Mapped[float | None]
    forward_x_m: Mapped[float | None]
    operating_displacement_t: Mapped[float | None]
    column_stabilized: Mapped[bool | None]
    rule_set: Mapped[str | None] = mapped_column(String(100))
    created_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    updated_at: Mapped[datetime.datetime] = mapped_column(default=utc_now, onupdate=utc_now)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 (declared so by the base class)


class VesselDocument(AppendOnly, Base):
    """One version of a hull form, hydrostatic table, set of marks or set of tanks."""

    __tablename__ = "vessel_documents"
    __table_args__ = (
        UniqueConstraint("vessel_id", "kind", "version"),
        CheckConstraint(f"kind IN {DOCUMENT_KINDS!r}", name="kind_known"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    vessel_id: Mapped[str] = mapped_column(Id, ForeignKey("vessels.id"))
    kind: Mapped[str] = mapped_column(String(32))
    version: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    document: Mapped[dict[str, Any]] = mapped_column(JsonDocument)
    recorded_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    recorded_by: Mapped[str] = mapped_column(String(200))
