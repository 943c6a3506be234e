"""A vessel's lightships and the alterations between them: written once, corrected by another row."""

from __future__ import annotations

import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from heelwright_service.store.base import AppendOnly, Base, Id, JsonDocument, new_id, utc_now

BASES = ("inclining-test", "lightweight-survey", "calculation", "sister-ship", "estimate", "weighed")
ALTERATION_KINDS = ("added", "removed", "relocated")


class Lightship(AppendOnly, Base):
    """A lightship as found or computed on a date: tonnes and metres, with its standard uncertainties."""

    __tablename__ = "lightships"
    __table_args__ = (
        # Two of one date and basis need `supersedes`; the use case also looks along the chains of corrections.
        Index(
            "uq_lightships_first_of_date_and_basis",
            "vessel_id",
            "date",
            "basis",
            unique=True,
            sqlite_where=text("supersedes IS NULL"),
            postgresql_where=text("supersedes IS NULL"),
        ),
        Index(None, "vessel_id", "date"),
        UniqueConstraint("supersedes"),
        CheckConstraint("mass_t > 0", name="mass_positive"),
        CheckConstraint(f"basis IN {BASES!r}", name="basis_known"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    vessel_id: Mapped[str] = mapped_column(Id, ForeignKey("vessels.id"))
    date: Mapped[datetime.date]
    basis: Mapped[str] = mapped_column(String(32))
    mass_t: Mapped[float]
    lcg_m: Mapped[float]
    tcg_m: Mapped[float | None]
    vcg_m: Mapped[float | None]
    approved: Mapped[bool] = mapped_column(default=False)
    uncertainties: Mapped[dict[str, Any] | None] = mapped_column(JsonDocument)
    supersedes: Mapped[str | None] = mapped_column(Id, ForeignKey("lightships.id"))
    reason: Mapped[str | None] = mapped_column(String(2000))
    recorded_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    recorded_by: Mapped[str] = mapped_column(String(200))


class Alteration(AppendOnly, Base):
    """A mass added, removed or relocated on a date; a correction names the entry it replaces and the reason."""

    __tablename__ = "alterations"
    __table_args__ = (
        Index(None, "vessel_id", "date"),
        UniqueConstraint("corrects"),
        CheckConstraint("mass_t > 0", name="mass_positive"),
        CheckConstraint(f"kind IN {ALTERATION_KINDS!r}", name="kind_known"),
        CheckConstraint("corrects IS NULL OR reason IS NOT NULL", name="correction_has_reason"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    vessel_id: Mapped[str] = mapped_column(Id, ForeignKey("vessels.id"))
    date: Mapped[datetime.date]
    kind: Mapped[str] = mapped_column(String(32))
    mass_t: Mapped[float]
    x_m: Mapped[float]
    y_m: Mapped[float]
    z_m: Mapped[float]
    to_x_m: Mapped[float | None]
    to_y_m: Mapped[float | None]
    to_z_m: Mapped[float | None]
    description: Mapped[str | None] = mapped_column(String(2000))
    uncertainties: Mapped[dict[str, Any] | None] = mapped_column(JsonDocument)
    corrects: Mapped[str | None] = mapped_column(Id, ForeignKey("alterations.id"))
    withdrawn: Mapped[bool] = mapped_column(default=False)
    reason: Mapped[str | None] = mapped_column(String(2000))
    recorded_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    recorded_by: Mapped[str] = mapped_column(String(200))
