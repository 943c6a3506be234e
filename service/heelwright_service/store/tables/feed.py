"""The ordered feed of events, numbered without gaps inside the transaction that causes them."""

from __future__ import annotations

import datetime
from typing import Any

from sqlalchemy import Index, String
from sqlalchemy.orm import Mapped, mapped_column

from heelwright_service.store.base import AppendOnly, Base, Id, JsonDocument, utc_now


class Event(AppendOnly, Base):
    """Something that happened, with the vessel it happened to."""

    __tablename__ = "events"
    __table_args__ = (Index(None, "vessel_id", "sequence"), Index(None, "fleet_left", "sequence"))

    sequence: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    type: Mapped[str] = mapped_column(String(100))
    subject: Mapped[str] = mapped_column(String(200))
    # No foreign key: the feed still tells of a vessel that has been deleted.
    vessel_id: Mapped[str | None] = mapped_column(Id)
    # The fleet that she belonged to until this event: whoever sees that fleet alone would not be told of it otherwise.
    fleet_left: Mapped[str | None] = mapped_column(String(200))
    actor: Mapped[str] = mapped_column(String(200))
    time: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    data: Mapped[dict[str, Any]] = mapped_column(JsonDocument)


class EventCounter(Base):
    """The last number given out, in one row; updating it makes writers queue, so numbers follow commits."""

    __tablename__ = "event_counter"

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    last_sequence: Mapped[int]
