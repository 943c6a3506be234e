"""Who may ask: people and tokens by their digests alone, and the answers already given to a repeated request."""

from __future__ import annotations

import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from heelwright_service.store.base import Base, Id, JsonDocument, new_id, utc_now

ROLES = ("reader", "recorder", "planner", "approver", "admin")


class Person(Base):
    """Somebody who signs in by name and password: only the password's scrypt hash is kept.

    ``name_key`` is the name as people compare it, so that no two accounts read alike.
    """

    __tablename__ = "people"
    __table_args__ = (
        UniqueConstraint("name_key"),
        CheckConstraint(f"role IN {ROLES!r}", name="role_known"),
        CheckConstraint("fleet IS NULL OR vessel_ids IS NULL", name="one_scope"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    version: Mapped[int] = mapped_column(default=1)
    name: Mapped[str] = mapped_column(String(200))
    name_key: Mapped[str] = mapped_column(String(1000))
    password_hash: Mapped[str] = mapped_column(String(500))
    password_set_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    role: Mapped[str] = mapped_column(String(16))
    fleet: Mapped[str | None] = mapped_column(String(200))
    vessel_ids: Mapped[list[str] | None] = mapped_column(JsonDocument)
    created_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    created_by: Mapped[str] = mapped_column(String(200))
    disabled_at: Mapped[datetime.datetime | None]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 (declared so by the base class)


class SignInAttempt(Base):
    """An attempt to sign in that has not succeeded; it counts for a while against the name and the address.

    The name is kept as a digest: what is typed into the wrong field may be a password.
    """

    __tablename__ = "sign_in_attempts"
    __table_args__ = (Index(None, "name_sha256", "at"), Index(None, "address", "at"))

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    name_sha256: Mapped[str] = mapped_column(String(64))
    address: Mapped[str] = mapped_column(String(64))
    at: Mapped[datetime.datetime] = mapped_column(default=utc_now)


class Token(Base):
    """A bearer token: only its SHA-256 is kept; limited to named vessels or a fleet where these are given.

    One with a ``person_id`` is a session of that person, made at sign-in.
    """

    __tablename__ = "tokens"
    __table_args__ = (
        UniqueConstraint("token_sha256"),
        Index(None, "person_id"),
        CheckConstraint(f"role IN {ROLES!r}", name="role_known"),
        CheckConstraint("fleet IS NULL OR vessel_ids IS NULL", name="one_scope"),
    )

    id: Mapped[str] = mapped_column(Id, primary_key=True, default=new_id)
    version: Mapped[int] = mapped_column(default=1)
    name: Mapped[str] = mapped_column(String(200))
    token_sha256: Mapped[str] = mapped_column(String(64))
    person_id: Mapped[str | None] = mapped_column(Id, ForeignKey("people.id"))
    role: Mapped[str] = mapped_column(String(16))
    fleet: Mapped[str | None] = mapped_column(String(200))
    vessel_ids: Mapped[list[str] | None] = mapped_column(JsonDocument)
    created_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
    created_by: Mapped[str] = mapped_column(String(200))
    expires_at: Mapped[datetime.datetime | None]
    revoked_at: Mapped[datetime.datetime | None]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 (declared so by the base class)


class IdempotencyKey(Base):
    """The first answer to a request that carried a key; reserved and filled in the request's own transaction."""

    __tablename__ = "idempotency_keys"
    __table_args__ = (Index(None, "created_at"),)

    token_id: Mapped[str] = mapped_column(Id, ForeignKey("tokens.id"), primary_key=True)
    key: Mapped[str] = mapped_column(String(255), primary_key=True)
    fingerprint: Mapped[str] = mapped_column(String(64))
    status: Mapped[int | None]
    headers: Mapped[dict[str, Any] | None] = mapped_column(JsonDocument)
    body: Mapped[bytes | None] = mapped_column(LargeBinary)
    created_at: Mapped[datetime.datetime] = mapped_column(default=utc_now)
