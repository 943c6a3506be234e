"""Where every stored answer comes from: one row an answer, never updated, only superseded."""

from __future__ import annotations

import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from heelwright_service.store.base import AppendOnly, Base, Id, JsonDocument, new_id, utc_now


class Computation(AppendOnly, Base):
    """A stored answer with its inputs, their digest, its sources, method, rules, author and moment."""

    __tablename__ = "computations"
    __table_args__ = (Index(None, "vessel_id", "kind", "id"), UniqueConstraint("supersedes"))

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    kind: Mapped[str] = mapped_column(String(64))
    vessel_id: Mapped[str | None] = mapped_column(Id, ForeignKey("vessels.id"))
    method_id: Mapped[str] = mapped_column(String(64))
    method_version: Mapped[str] = mapped_column(String(32))
    inputs: Mapped[dict[str, Any]] = mapped_column(JsonDocument)
    inputs_sha256: Mapped[str] = mapped_column(String(64))
    sources: Mapped[dict[str, Any]] = mapped_column(JsonDocument)
    rule_set: Mapped[str | None] = mapped_column(String(100))
    rule_edition: Mapped[str | None] = mapped_column(String(100))
    result: Mapped[dict[str, Any]] = mapped_column(JsonDocument)
    service_version: Mapped[str] = mapped_column(String(32))
    computed_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    computed_by: Mapped[str] = mapped_column(String(200))
    supersedes: Mapped[str | None] = mapped_column(Id, ForeignKey("computations.id"))
