"""What every table shares: naming of constraints, column types, identifiers and the append-only promise."""

from __future__ import annotations

import datetime
import secrets
import time
from typing import Any, ClassVar

from sqlalchemy import JSON, DateTime, Dialect, MetaData, String, TypeDecorator, event
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.orm import DeclarativeBase, Mapper

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

# jsonb has no order of keys; what is hashed is hashed in canonical form, so neither type changes a digest.
JsonDocument = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")

Id = String(32)


class UtcDateTime(TypeDecorator[datetime.datetime]):
    """A moment in UTC: refuses times without an offset, always gives back times with one."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime.datetime | None, dialect: Dialect) -> datetime.datetime | None:
        """Turn a moment with any offset into UTC for the database."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a stored time needs an offset; naive datetimes are refused")
        return value.astimezone(datetime.UTC)

    def process_result_value(self, value: datetime.datetime | None, dialect: Dialect) -> datetime.datetime | None:
        """Give the offset back to databases that drop it."""
        if value is None:
            return None
        return value.replace(tzinfo=datetime.UTC) if value.tzinfo is None else value.astimezone(datetime.UTC)


class Base(DeclarativeBase):
    """The declarative base of all tables."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map: ClassVar = {
        datetime.datetime: UtcDateTime(),
        dict[str, Any]: JsonDocument,
        list[str]: JsonDocument,
    }


class AppendOnly:
    """A mixin for rows that are written once; a correction is another row that names the old one."""


class AppendOnlyError(RuntimeError):
    """The code tried to change or delete a row that is written once; a defect, never the caller's fault."""


def _refuse_change(mapper: Mapper[Any], connection: object, target: object) -> None:
    raise AppendOnlyError(f"{type(target).__name__} rows are written once: append a correction instead")


event.listen(AppendOnly, "before_update", _refuse_change, propagate=True)
event.listen(AppendOnly, "before_delete", _refuse_change, propagate=True)


def new_id() -> str:
    """Return a new identifier: 48 bits of milliseconds, then 80 random bits, in hexadecimal.

    Returns
    -------
    str
        32 characters; identifiers sort by the time of their making, which keyset paging relies on.
    """
    return f"{time.time_ns() // 1_000_000:012x}{secrets.token_hex(10)}"


def utc_now() -> datetime.datetime:
    """Return this moment in UTC, with its offset."""
    return datetime.datetime.now(datetime.UTC)
